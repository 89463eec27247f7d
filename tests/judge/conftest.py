"""A procedure, a voice for it, and readers: quick ones that follow a rule, and the real ones."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.events import Heard, SlotCheck
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.terms import coverage, terms_of
from rehearse.judge.verdict import Result
from rehearse.language.english import English
from rehearse.weights.step_judge import StepJudge

PACE, GAP = 2.5, 0.8  # words a second, seconds between utterances

ARM = Procedure(
    id="arm-door-2l",
    title="Arm door 2 left",
    aircraft="tarn-240",
    positions=("C4",),
    language="en",
    revision=Revision(3, date(2026, 10, 1), "CSM 4.2.1"),
    order="strict",
    pass_rule=PassRule("all", 0.8),
    steps=(
        Step("flap", "Open the flap and pull the spring pin"),
        Step(
            "drum",
            "Turn the mode drum a quarter turn towards the hinge to armed",
            critical=True,
            never=("turn the drum to disarmed",),
        ),
        Step("pin", "Let the spring pin snap home and close the flap"),
        Step(
            "panes",
            "Check both witness panes show the amber band and the sill lamp is lit",
            critical=True,
            after=("drum",),
        ),
        Step("call", "Door two left armed and cross-checked", command=True),
    ),
)
PERFECT = (
    "open the flap and pull the spring pin",
    "turn the mode drum a quarter turn towards the hinge to armed",
    "let the spring pin snap home and close the flap",
    "check both witness panes show the amber band and the sill lamp is lit",
    "door two left armed and cross checked",
)

Says = Callable[..., Result]


class ByWords:
    """A reader that goes by a step's key terms: said when nearly all are there."""

    def __init__(self) -> None:
        self._language = English()
        self._known: dict[tuple[str, str], tuple[float, float, float, float]] = {}

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """One row a pair, as the protocol asks."""
        for pair in pairs:
            if pair not in self._known:
                self._known[pair] = self._row(*pair)
        rows = [self._known[pair] for pair in pairs]
        return np.array(rows, np.float32).reshape(-1, 4)

    def _row(self, step: str, utterance: str) -> tuple[float, float, float, float]:
        tokens = self._language.tokens(utterance.split())
        share = coverage(terms_of(step, {}, self._language), tokens, self._language)
        if share > 0.85:
            return 0.94, 0.02, 0.02, 0.02
        return (0.02, 0.9, 0.04, 0.04) if share > 0.5 else (0.01, 0.01, 0.01, 0.97)


@pytest.fixture(scope="session")
def english() -> English:
    """The language of all tests here."""
    return English()


@pytest.fixture(scope="session")
def rule() -> Readers:
    """Readers that follow a rule, for tests that are not about reading."""
    return Readers(ByWords(), ByWords())


@pytest.fixture(scope="session")
def real() -> Readers:
    """The shipped step judges."""
    return Readers(StepJudge("step-judge-mpnet"), StepJudge("step-judge-minilm"))


@pytest.fixture
def arm() -> Procedure:
    """Five steps in strict order, two of them critical, one a command."""
    return ARM


@pytest.fixture
def free() -> Procedure:
    """The same steps in any order."""
    steps = tuple(replace(step, after=None) for step in ARM.steps)
    return replace(ARM, order="free", steps=steps)


@pytest.fixture
def perfect() -> tuple[str, ...]:
    """All steps of the procedure, one an utterance, as in the book."""
    return PERFECT


def heards(texts: Sequence[str]) -> list[Heard]:
    """The texts as utterances, one after the other at an ordinary pace."""
    found: list[Heard] = []
    at = 0.0
    for text in texts:
        found.append(Heard(at, at + len(text.split()) / PACE, text))
        at = found[-1].end + GAP
    return found


@pytest.fixture
def voice() -> Callable[[Sequence[str]], list[Heard]]:
    """Turns texts into utterances with times."""
    return heards


@pytest.fixture
def says(rule: Readers, english: English) -> Says:
    """Judges a take of a procedure by its texts, with the readers that follow a rule."""

    def judged(procedure: Procedure, *texts: str, readers: Readers = rule) -> Result:
        assessor = Assessor(procedure, readers, english)
        for heard in heards(texts):
            assessor.add(heard)
        return assessor.result()

    return judged


@pytest.fixture
def doubted() -> Callable[[str, str, float], Heard]:
    """An utterance of which one word has a flip test with this margin, the others a clear one."""

    def make(text: str, word: str, margin: float) -> Heard:
        words = text.split()
        checks = tuple(
            SlotCheck(at, 1, w, "", margin if w == word else 9.0) for at, w in enumerate(words)
        )
        return Heard(0.0, len(words) / PACE, text, checks=checks, support=1.0)

    return make
