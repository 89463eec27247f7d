"""The measurement of delay, share of real time and memory, on two short recordings."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rehearse.errors import SoundError
from rehearse.session import bench

SOUNDS = Path(__file__).parent / "sounds"


def test_measures_what_it_plays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every utterance has its delay, and every figure its unit."""
    monkeypatch.setattr(bench, "EXAMPLES", SOUNDS)
    monkeypatch.setattr(bench, "RECORDINGS", ("flap.flac", "start-over.flac"))
    told: list[str] = []
    shown, text, verdict, live, recordings, memory = bench.bench(told.append)
    assert [text.endswith("in real time") for text in told] == [True, True, False, False]
    delays = []
    for line, what, times in (
        (shown, "end of a word to provisional text", r"\d+"),
        (text, "end of speech to final text", "2"),
        (verdict, "end of speech to verdict", "2"),
    ):
        found = re.match(rf"{what}: p50 (.+) s, p95 (.+) s, {times} times", line)
        assert found
        assert 0.0 < float(found[1]) <= float(found[2])
        delays.append(float(found[1]))
    assert delays[0] < delays[1] < delays[2]
    share = re.match(r"share of real time, live: (\S+) processor seconds", live)
    assert share
    assert float(share[1]) > 0.0
    assert "4 s of sound" in live
    assert re.match(r"share of real time, recordings: \S+ by the clock, \S+ processor", recordings)
    size = re.match(r"peak memory: (\d+) MB", memory)
    assert size
    assert int(size[1]) > 100  # the speech model alone is so large


def test_the_95th_percentile_is_one_of_the_delays() -> None:
    """Of few delays it is the longest, and never more than that."""
    assert bench._p95([1.0]) == 1.0
    assert bench._p95([0.5, 0.6, 3.0]) == 3.0
    assert bench._p95([n / 100 for n in range(1, 101)]) == 0.95


def test_a_missing_recording_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """One line with the file and the mend, before any model is loaded."""
    monkeypatch.setattr(bench, "EXAMPLES", tmp_path)
    with pytest.raises(SoundError, match=r"1-complete\.flac: missing; take it"):
        bench.bench(lambda _text: None)
