"""The whole command, in processes, on a machine that has no sound of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from rehearse.bench.ghosts.outcome import kept


def test_it_runs_without_programs_or_devices(tmp_path: Path) -> None:
    """On a large machine without speech programs or PortAudio nothing could be measured."""
    (tmp_path / "sounddevice.py").write_text("raise OSError('PortAudio library not found')")
    path = tmp_path / "kept.jsonl"
    words = "bench ghosts --kinds silence --minutes 0.5 --workers 2 --keep".split()
    env = {**os.environ, "PATH": "", "PYTHONPATH": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-m", "rehearse", *words, str(path)],
        capture_output=True, text=True, env=env, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    (found,) = kept([path])
    assert (found.kind, found.seconds, found.begun, found.heard) == ("silence", 30.0, 0, ())
    assert "silence" in done.stdout
