from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.book.decided import weigh
from rehearse.book.decisions import read_decisions
from rehearse.book.lint import lint
from rehearse.book.reader import read
from rehearse.book.shelf import stock
from rehearse.book.warnings import WARNINGS
from rehearse.errors import BookError

Write = Callable[..., Path]

REASON = "    reason: Only an armed door fills its slide.\n"
DECIDED = """\
decisions:
  - warning: critical-reason
    procedure: arm-door-2l
    step: drum
    why: The manual gives none.
    who: Ada Mark
    date: 2026-11-27
"""


def weighed(path: Path) -> list[tuple[str, str]]:
    """The code of each piece of advice on the file, and why it stays, "" while undecided."""
    procedure = read(path)
    found = weigh(procedure, lint(procedure), WARNINGS)
    return [(each.problem.code, each.decision.why if each.decision else "") for each in found]


def test_advice_is_told_with_its_decision(write: Write, good: str) -> None:
    """What was decided stands beside the advice; without a decision it is open."""
    path = write(good.replace(REASON, ""))
    assert weighed(path) == [("critical-reason", "")]
    write(DECIDED, "decisions.yaml")
    assert weighed(path) == [("critical-reason", "The manual gives none.")]


@pytest.mark.parametrize(
    ("before", "after"),
    [("procedure: arm-door-2l", "procedure: other"), ("step: drum", "step: panes"),
     ("    step: drum\n", ""), ("critical-reason", "long-command")],
)  # fmt: skip
def test_a_decision_is_about_one_thing(write: Write, good: str, before: str, after: str) -> None:
    """A decision for another procedure, step or warning decides nothing here."""
    path = write(good.replace(REASON, ""))
    write(DECIDED.replace(before, after), "decisions.yaml")
    assert ("critical-reason", "") in weighed(path)


def test_a_decision_about_nothing_is_told(write: Write, good: str) -> None:
    """When the advice is gone, the decision is told at its own line, and only if looked for."""
    path = write(good)
    write(DECIDED, "decisions.yaml")
    procedure = read(path)
    (idle,) = weigh(procedure, lint(procedure), WARNINGS)
    problem = idle.problem
    assert (problem.path.name, problem.line, problem.code) == ("decisions.yaml", 2, "decision-idle")
    assert weigh(procedure, lint(procedure), WARNINGS.keys() - {"critical-reason"}) == []


def test_decisions_are_no_procedures(write: Write, good: str) -> None:
    """The file of decisions lies among the procedures and is not taken for one."""
    folder = write(good).parent
    write(DECIDED, "decisions.yaml")
    assert stock([folder]).broken == ()


FAULTS = {
    "unknown warning": (DECIDED.replace("critical-reason", "critical-reasons"),
                        "there is no warning 'critical-reasons'; write 'critical-reason'"),
    "nobody": (DECIDED.replace("    who: Ada Mark\n", ""), "decisions[1].who: the key is missing"),
    "twice": (DECIDED + DECIDED.partition("\n")[2], "the same was decided in line 2"),
    "day": (DECIDED.replace("2026-11-27", "today"), "decisions[1].date: 'today' is not a date"),
    "no list": ("decisions: none\n", "decisions: 'none' is not a list"),
    "empty": ("", "the file is empty"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_faulty_decisions(write: Write, name: str) -> None:
    """A decision that decides nothing because it is misspelt is told with line and mend."""
    text, part = FAULTS[name]
    with pytest.raises(BookError) as told:
        read_decisions(write(text, "decisions.yaml"))
    assert part in str(told.value)


def test_every_warning_that_is_given_has_its_code() -> None:
    """A code that is not in the table could never be decided about."""
    folder = Path(__file__).parents[2] / "rehearse"
    code = "".join(path.read_text("utf-8") for path in folder.rglob("*.py"))
    given = set(re.findall(r'Advice\(\s*"([a-z-]+)"', code)) | {"decision-idle"}
    assert given == set(WARNINGS)
