"""Constructed drills heard and scored by the real pipeline."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import cast

import numpy as np
import pytest

from rehearse.authoring.voices import SpeakingVoice
from rehearse.bench import drills
from rehearse.bench.drill_cases import Case, Fault, cases
from rehearse.bench.drill_truth import Beside, Pair
from rehearse.bench.drill_voices import Synthetic
from rehearse.bench.drills import KeptError, kept, measured, scored
from rehearse.bench.shouting import Clip
from rehearse.hear.recogniser import RATE
from rehearse.hear.whisper import Whisper
from rehearse.judge.meaning import Readers
from rehearse.session.engine import SPEECH_MODEL, Engine
from rehearse.weights.store import verified

DRILL = Beside(
    0, "ann", None, Fault.SLIP, 2, 2, 1, 0, 2, 0, 0, 0, 0,
    (Pair(1.0, 1.02, 0.03),), (Pair(12.0, 12.5, 1.0),), (), (Pair(20.0, 20.5, 0.5),),
    ("not recognised: 'Turn back!'",),
)  # fmt: skip
ENGINE = cast("Engine", None)


@dataclass(frozen=True)
class Ann:
    """A voice that is never listened to."""

    name: str = "ann"
    said: list[str] = field(default_factory=list)

    def say(self, text: str) -> Clip:
        """One second of anything."""
        self.said.append(text)
        return Clip(np.ones(RATE, np.float32), 0, RATE)


def test_a_measurement_goes_on_where_it_was_broken_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An hour of measuring would be lost with the last minute of it."""
    asked: list[int] = []

    def one(case: Case, *_rest: object) -> Beside:
        asked.append(case.number)
        return replace(DRILL, number=case.number)

    monkeypatch.setattr(drills, "scored", one)
    path = tmp_path / "figures.jsonl"
    first = list(measured(2, [Ann()], ENGINE, path))
    assert list(measured(3, [Ann()], ENGINE, path)) == [*first, replace(DRILL, number=2)]
    assert asked == [0, 1, 2]
    assert kept(path)[1] == replace(DRILL, number=1)


@pytest.mark.parametrize("line", ["{}", "no", "[1]", '{"number": 1}'])
def test_a_file_of_something_else_is_named(tmp_path: Path, line: str) -> None:
    """Figures would be added to a file that is no file of figures."""
    path = tmp_path / "figures.jsonl"
    path.write_text(line + "\n", "utf-8")
    with pytest.raises(KeptError, match=r"figures\.jsonl:1: no figures of a drill"):
        kept(path)


@pytest.mark.skipif(shutil.which("flite") is None, reason="flite is not installed")
def test_a_spoken_drill_is_timed_and_a_wrong_command_is_not_accepted() -> None:
    """The bench would measure something else than what a trainee meets."""
    case = cases(40, 8)[39]
    assert case.fault is Fault.STALE
    engine = Engine(Whisper(verified(SPEECH_MODEL)), cast("Readers", None))
    found = scored(replace(case, snr=None), Synthetic(SpeakingVoice("flite", "slt")), engine)
    assert (found.accepted, found.credited, found.invented) == (0, 0, 0)
    assert found.recognised >= 2
    assert found.reactions
    assert all(abs(pair.error) < 0.1 for pair in found.reactions)
    assert all(abs(pair.error) < 3.0 for pair in found.levels)


def test_voices_take_turns() -> None:
    """A voice that is heard badly would weigh more than another."""
    voices: Sequence[Ann] = [Ann(name) for name in ("ann", "ben", "cat")]
    spoken = [voices[case.voice].name for case in cases(6, len(voices))]
    assert spoken == ["ann", "ben", "cat"] * 2
