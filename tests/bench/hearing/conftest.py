from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from rehearse.bench.hearing.pipelines import OURS, Outcome
from rehearse.bench.hearing.rows import Row
from rehearse.bench.hearing.slots import Slot
from rehearse.bench.shouting import Clip, clip
from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.hear.recogniser import RATE, Sound

DRUM = Step(
    "drum",
    "Turn the mode drum to armed",
    critical=True,
    also=("rotate the drum to armed",),
    never=("leave the drum alone",),
)
BOOK = Procedure(
    "arm-door-2l",
    "Arm door 2 left",
    "tarn-240",
    ("C4",),
    "en",
    Revision(3, date(2026, 10, 1), "CSM 4.2.1"),
    "strict",
    PassRule("all", 1.0),
    (Step("flap", "Open the flap"), DRUM),
)


@dataclass(frozen=True)
class Hummer:
    """A voice that hums at one pitch for as long as a text is."""

    name: str = "hummer"

    def say(self, text: str) -> Clip:
        """A buzz of 140 hertz that swells and fades with every word."""
        time = np.arange(round(RATE * 0.3 * len(text.split()))) / RATE
        buzz = sum(np.sin(2 * np.pi * 140 * n * time) / n for n in range(1, 40))
        return clip((buzz * (0.55 + 0.45 * np.sin(2 * np.pi * time / 0.3))).astype(np.float32))


class Echoing:
    """A pipeline that hears nothing but always gives the same score."""

    def __init__(self, name: str, score: float) -> None:
        self.name, self.score = name, score
        self.sounds: list[Sound] = []

    def hear(self, sound: Sound, _procedure: Procedure, step: Step) -> Outcome:
        """The step as it is written."""
        self.sounds.append(sound)
        return Outcome(step.say, step.say, "", self.score, 0.5, 0.6, 0.1)

    def judge(self, text: str, _procedure: Procedure, _step: Step) -> Outcome:
        """The text as it is."""
        return Outcome(text, text, "", self.score, 0.0, 0.0, 0.1)


@pytest.fixture
def book() -> Procedure:
    """A procedure with one critical step."""
    return BOOK


@pytest.fixture
def hummer() -> Hummer:
    """A voice that costs nothing."""
    return Hummer()


@pytest.fixture
def echoing() -> Callable[[str, float], Echoing]:
    """Makes a pipeline that always gives a score."""
    return Echoing


@pytest.fixture
def row() -> Callable[..., Row]:
    """Makes a result of our own pipeline, the step said and heard, with some fields changed."""

    def make(**changes: Any) -> Row:  # noqa: ANN401
        plain = Row(
            voice="bm_lewis",
            procedure="arm-door-2l",
            step="drum",
            kind="written",
            command=False,
            text="Turn the mode drum to armed",
            condition="clean",
            pipeline=OURS,
            seconds=2.0,
            heard="Turn the mode drum to armed",
            exact=True,
            slots=(Slot("right", "right", 9.0),),
            verdict="said",
            score=2.9,
            delay=0.4,
            cost=0.5,
            judging=0.1,
            support=2.0,
        )
        return replace(plain, **changes)

    return make
