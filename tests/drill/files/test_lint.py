"""Advice on drills: each piece is given where it helps, and only there."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.cli import main
from rehearse.drill.files.lint import ADVICE, lint_drill
from rehearse.drill.files.schema import drill_schema
from tests.drill.conftest import GOOD

Write = Callable[[str], Path]


def test_nothing_to_mend(write: Write) -> None:
    """If this fails, a good drill is nagged at."""
    assert lint_drill(write(GOOD)) == []


@pytest.mark.parametrize(
    ("written", "instead", "code", "words"),
    [
        (
            "say: Door dead! Turn back!",
            "say: Nobody can get out of this door any more so turn\n        louder: 8",
            "long-command",
            "more than a breath",
        ),
        ("[This door is dead!]", "[Back!]", "one-word", "add a word"),
        ("[This door is dead!]", '["Can you turn back?"]', "answer-missed", "without a question"),
        ("within: 2.5", "within: 0.5", "limit-tight", "at least 1 s"),
        ("every: 4", "every: 0.5", "limit-tight", "7 words cannot be said every 0.5 s"),
        (
            "[This door is dead!]",
            "[Other side! Cross over! Turn back!]",
            "answers-alike",
            "'turn' has said 'across' too",
        ),
        ("Slide! Two by two!", "Turn back!", "answer-forbidden", "'turn' holds words"),
        ("Slide! Two by two!", "Now! Door dead! Turn back!", "never-credited", "counts as 'turn'"),
        ("cue: {sound: door-driven}\n    then:\n      - {to: end}",
         "cue: {sound: door-driven}\n    then:\n      - {to: end, if: [wrong]}",
         "branch-idle", "cannot end wrong"),
        ("    silences: [signal.belts]\n", "", "grace-idle", "take it out"),
        ("role: eyes, says: \"Fire outside {doors of me}.\", ", "", "cast-idle", "never speaks"),
        ("wait: [3, 9]", "wait: 3", "fixed-times", "wait: [3, 9]"),
    ],
)  # fmt: skip
def test_advice(write: Write, written: str, instead: str, code: str, words: str) -> None:
    """If this fails, a drill that will be shouted or judged badly is printed as good."""
    assert written in GOOD
    text = GOOD.replace(written, instead, 1).replace(
        '"There is fire outside {doors of me}"', "Fire"
    )
    found = [problem for problem in lint_drill(write(text)) if problem.code == code]
    assert any(words in str(problem) for problem in found), lint_drill(write(text))


def test_every_position_is_looked_at(write: Write) -> None:
    """If this fails, a slip that only one door has is found when that door is drilled."""
    text = GOOD.replace("Slide! Two by two!", "Hurry! Door two right is dead!").replace(
        "say: Door dead! Turn back!", 'say: "{doors of me} is dead!"'
    )
    assert lint_drill(write(text.replace("[C4, C3]", "[C4]"))) == []
    (problem,) = lint_drill(write(text))
    assert problem.code == "never-credited"


def test_the_command_line(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    """If this fails, 'book lint' takes a drill for a procedure, or 'book schema' knows none."""
    good = write(GOOD)
    assert main(["book", "lint", str(good)]) == 0
    assert "nothing to mend" in capsys.readouterr().out
    good.write_text(GOOD.replace("within: 2.5", "within: 0.5"), "utf-8")
    assert main(["book", "lint", str(good)]) == 1
    assert "[limit-tight]" in capsys.readouterr().out
    good.write_text(GOOD.replace("every: 4", "every: 9"), "utf-8")
    assert main(["book", "lint", str(good)]) == 2
    assert "make 'lasts' longer" in capsys.readouterr().err
    assert main(["book", "schema", "drill"]) == 0
    assert json.loads(capsys.readouterr().out) == drill_schema()


def test_every_code_is_given_and_told() -> None:
    """If this fails, a piece of advice is never given, or has a code that nobody explains."""
    (given,) = [mark.args[1] for mark in test_advice.pytestmark]  # type: ignore[attr-defined]
    assert {code for _, _, code, _ in given} == set(ADVICE)
