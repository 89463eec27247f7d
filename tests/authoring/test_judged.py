"""Advice from the judge: what wordings and forbidden statements are taken for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from rehearse.authoring.judged import judged
from rehearse.book.advice import placed
from rehearse.book.decided import weigh
from rehearse.book.model import Procedure, Step
from rehearse.book.reader import read
from rehearse.book.warnings import JUDGED
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict
from rehearse.language.english import English
from rehearse.session.engine import load_readers
from tests.authoring.conftest import ARM, SHIPPED, Type


@pytest.fixture(scope="module")
def readers() -> Readers:
    """The step judges, loaded once."""
    return load_readers()


def told(readers: Readers, *steps: Step) -> list[tuple[str, str]]:
    """Codes and fields of the advice on a procedure of these steps."""
    procedure = _of(*steps)
    found = judged(procedure, Assessor(procedure, readers, English()))
    return [(advice.code, advice.field) for advice in found]


def _of(*steps: Step) -> Procedure:
    return replace(read(ARM), steps=steps)


FLAP = Step("flap", "Open the flap and pull the spring pin")
DRUM = Step("drum", "Turn the mode drum towards the hinge to armed", critical=True)


def test_steps_that_are_told_apart(readers: Readers) -> None:
    """A procedure whose steps the judge tells apart gets no advice."""
    assert told(readers, FLAP, replace(DRUM, never=("Turn the mode drum to disarmed",))) == []


def test_a_step_that_satisfies_another(readers: Readers) -> None:
    """Where saying one step is credited to another, the wording that does it is named."""
    other = Step("pin", "Flap open, spring pin pulled")
    assert ("judged-alike", "steps[flap].say") in told(readers, FLAP, other)


@dataclass
class Scripted:
    """A judge that gives the same verdicts to whatever it hears."""

    verdicts: dict[str, Verdict]
    dangerous: bool = False

    def restart(self) -> None:
        """Nothing is remembered."""

    def add(self, heard: Heard) -> None:
        """Whatever it is."""

    def result(self) -> Result:
        """The verdicts it was made with."""
        steps = (StepResult(i, v, 0.5, "", None, None, "") for i, v in self.verdicts.items())
        extras = (Extra("x", dangerous=True, why=""),) if self.dangerous else ()
        return Result("p", 1, passed=False, steps=tuple(steps), extras=extras)


NEVER = Step("drum", "Turn the drum", never=("Leave the drum",))


@pytest.mark.parametrize(
    ("verdict", "dangerous", "expected"),
    [
        (Verdict.SAID, False, [("never-credited", "steps[drum].never[1]")]),
        (Verdict.OUT_OF_ORDER, False, [("never-credited", "steps[drum].never[1]")]),
        (Verdict.WRONG, False, [("judged-missed", "steps[drum].say")]),
        (Verdict.NOT_SAID, True, [("judged-missed", "steps[drum].say")]),
        (Verdict.UNCLEAR, False, [("judged-missed", "steps[drum].say"),
                                  ("never-unseen", "steps[drum].never[1]")]),
    ],
)  # fmt: skip
def test_what_the_verdicts_mean(
    verdict: Verdict, dangerous: bool, expected: list[tuple[str, str]]
) -> None:
    """A wording is to be credited, a forbidden statement wrong or dangerous; else it is told."""
    found = judged(_of(NEVER), Scripted({"drum": verdict}, dangerous))
    assert [(advice.code, advice.field) for advice in found] == expected


@pytest.mark.parametrize("name", ["arm-door-2l", "open-door-emergency", "evacuation-commands"])
def test_shipped_procedures_have_nothing_undecided(readers: Readers, name: str) -> None:
    """What the judge has against a shipped procedure is mended or decided about."""
    procedure = read(SHIPPED / f"{name}.yaml")
    judge = Assessor(procedure, readers, English())
    found = weigh(procedure, placed(procedure, judged(procedure, judge)), JUDGED)
    assert [str(each.problem) for each in found if each.decision is None] == []


def test_lint_asks_the_judge(type_in: Type, tmp_path: Path) -> None:
    """The command gives the judge's advice with its place, and spares it when asked to."""
    path = tmp_path / "arm.yaml"
    before = "say: Let the spring pin snap home and close the flap"
    text = ARM.read_text("utf-8").replace(before, "say: Flap open, spring pin pulled")
    path.write_text(text, "utf-8")
    outcome = type_in("book", "lint", path)
    assert outcome.status == 1
    alike = [line for line in outcome.out if line.endswith("[judged-alike]")]
    assert alike[0].startswith(f"{path}:12:10: steps[flap].say: 'Open the flap and pull the")
    assert "also credited to step 'pin'" in alike[0]
    quick = type_in("book", "lint", "--words-only", path)
    assert (quick.status, quick.out) == (0, [f"{path}: nothing to mend"])


def test_a_decision_settles_it(type_in: Type, tmp_path: Path) -> None:
    """Advice that was decided about is shown with who decided, and lint is content."""
    path = tmp_path / "arm.yaml"
    path.write_text(ARM.read_text("utf-8").replace("    reason: Only", "    # Only", 1), "utf-8")
    (tmp_path / "decisions.yaml").write_text(
        "decisions: [{warning: critical-reason, procedure: arm-door-2l, step: drum, "
        "why: The manual gives none., who: Ada Mark, date: 2026-11-27}]\n",
        "utf-8",
    )
    outcome = type_in("book", "lint", "--words-only", path, tmp_path / "decisions.yaml")
    assert outcome.status == 0
    assert outcome.out[0].endswith("decided: The manual gives none. (Ada Mark, 2026-11-27)")


def test_a_sealed_text_that_changed(type_in: Type, tmp_path: Path) -> None:
    """Lint tells that a sealed text changed without a new number, with the mend."""
    path = tmp_path / "arm.yaml"
    path.write_text(ARM.read_text("utf-8"), "utf-8")
    assert type_in("book", "freeze", path).status == 0
    path.write_text(ARM.read_text("utf-8").replace("spring pin", "safety pin", 1), "utf-8")
    outcome = type_in("book", "lint", "--words-only", path)
    assert outcome.status == 1
    assert ":7:20: revision.number: revision 3 was sealed on " in outcome.out[0]
    assert "write 'number: 4'" in outcome.out[0]
