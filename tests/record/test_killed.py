"""A program that is killed in mid-take leaves a take that opens, with all that was finished."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from rehearse.record.take import Take

KILLS = 40
PIECE = 512
FRAME = 4096  # about a quarter of a second

# Imports once, then forks a writer per line it reads: 40 kills take seconds, not a minute.
# A writer notes the number of every event and of all samples only after they were taken.
WRITERS = """
import os, sys
from datetime import UTC, datetime
from pathlib import Path
import numpy as np
from rehearse.book import reader
from rehearse.events import Heard
from rehearse.record.take import TakeWriter

procedure = reader.read(Path(sys.argv[1]))
PIECE = int(sys.argv[2])
noise = (np.random.default_rng(1).standard_normal(1 << 20) * 0.1).astype(np.float32)
for line in sys.stdin:
    folder = Path(line.strip())
    writer_id = os.fork()
    if writer_id:
        print(writer_id, flush=True)
        os.waitpid(writer_id, 0)
        print("gone", flush=True)
        continue
    notes = os.open(folder.parent / (folder.name + ".notes"), os.O_CREAT | os.O_WRONLY, 0o600)
    writer = TakeWriter.create(
        folder, procedure, started=datetime.now(UTC), help_level="x", source="microphone"
    )
    events = samples = 0
    while True:
        for _ in range(4):
            at = samples % (1 << 19)
            writer.write_sound(noise[at : at + PIECE])
            samples += PIECE
            os.pwrite(notes, b"%12d %12d" % (events, samples), 0)
        writer.write(Heard(events, events + 1.0, f"sentence {events}"))
        events += 1
        os.pwrite(notes, b"%12d %12d" % (events, samples), 0)
"""


@dataclass
class Writers:
    """The program that forks writers."""

    program: subprocess.Popen[str]

    def start(self, folder: Path) -> int:
        """A new writer into this folder; returns its process id."""
        assert self.program.stdin is not None
        self.program.stdin.write(f"{folder}\n")
        self.program.stdin.flush()
        return int(self.answer())

    def answer(self) -> str:
        """The next line the program prints."""
        assert self.program.stdout is not None
        return self.program.stdout.readline().strip()


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="the system has no kill -9")
def test_killed_at_any_moment(tmp_path: Path, procedure_file: Path) -> None:
    """Forty times killed at a random moment, the take holds every finished event and sound."""
    noise = (np.random.default_rng(1).standard_normal(1 << 20) * 0.1).astype(np.float32)
    chance = random.Random(5)
    with subprocess.Popen(
        [sys.executable, "-c", WRITERS, str(procedure_file), str(PIECE)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as program:
        writers = Writers(program)
        torn_early = 0
        for attempt in range(KILLS):
            folder = tmp_path / f"takes-{attempt}"
            writer = writers.start(folder)
            time.sleep(chance.uniform(0.0, 0.12))
            os.kill(writer, signal.SIGKILL)
            assert writers.answer() == "gone"
            events, samples = _noted(tmp_path / f"takes-{attempt}.notes")
            if not samples and not list(folder.glob("*/sound.flac")):
                torn_early += 1  # killed before the take had begun: there was nothing to keep
                continue
            take = Take.open(next(folder.iterdir()))
            assert events <= len(take.events) <= events + 1
            assert [int(e.start) for e in take.events] == list(range(len(take.events)))  # type: ignore[union-attr]
            sound = np.concatenate([np.zeros(0, np.float32), *take.sound()])
            assert samples - FRAME - 1 <= len(sound) <= samples + PIECE
            expected = noise[np.arange(len(sound)) % (1 << 19)]
            assert np.abs(sound - expected).max(initial=0.0) < 1 / 16384
            assert take.procedure.id == "arm-door-2l"
        assert program.stdin is not None
        program.stdin.close()
    assert torn_early < KILLS / 2


def _noted(notes: Path) -> tuple[int, int]:
    """Events and samples that the writer knew to be written."""
    if not notes.exists() or not notes.read_text():
        return 0, 0
    events, samples = notes.read_text().split()
    return int(events), int(samples)
