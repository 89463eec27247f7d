from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from rehearse.book.lint import lint
from rehearse.book.reader import read

Write = Callable[[str | bytes], Path]


def test_has_nothing_to_say_about_a_good_file(write: Write, good: str) -> None:
    """A procedure that reads, sounds and judges well gets no advice."""
    assert lint(read(write(good))) == []


# What is replaced, by what, and the advice: line, column, field, part of the fault, of the mend.
ADVICE = {
    "long command": (
        "say: Door two left armed and cross-checked",
        "say: Door two left armed and cross-checked and the other one over there too",
        22, 10, "steps[call].say", "14 words without a stop", "8 words or fewer",
    ),
    "command of many parts": (
        "say: Door two left armed and cross-checked",
        "say: Belts off! Bags down! This way out! Hurry up! Jump and slide! Keep going!",
        22, 10, "steps[call].say", "the command has 14 words", "12 words or fewer",
    ),
    "sentence of the starter file": (
        "say: Open the flap and pull the spring pin", "say: Write here what is done first",
        11, 10, "steps[flap].say", "stands as in the starter file", "what is to be said",
    ),
    "source of the starter file": (
        "CSM 4.2.1", "write here the manual and paragraph", 6, 54, "revision.source",
        "stands as in the starter file", "name the manual",
    ),
    "long sentence": (
        "say: Open the flap and pull the spring pin",
        "say: Open the flap " + "and pull the spring pin " * 4,
        11, 10, "steps[flap].say", "23 words", "two steps",
    ),
    "critical without a reason": (
        "    reason: Only an armed door fills its slide.\n", "", 13, 5, "steps[drum]",
        "gives no reason", "add 'reason: ...'",
    ),
    "critical without anything exact": (
        "say: Open the flap and pull the spring pin",
        "say: Say hello\n    critical: true\n    reason: It is polite.",
        11, 10, "steps[flap].say", "names no state", "under 'never'",
    ),
    "looser wording of a critical step": (
        "    critical: true\n", '    critical: true\n    also: ["do what the drum needs"]\n',
        16, 12, "steps[drum].also[1]", "leaves out", "add the state",
    ),
    "wording that is there already": (
        '["Lift the flap and pull out the spring pin"]',
        '["Lift the flap", "lift the flap!"]', 12, 29, "steps[flap].also[2]", "already",
        "take it out",
    ),
    "wording of one word": (
        '["Lift the flap and pull out the spring pin"]', "[Flap]", 12, 12, "steps[flap].also[1]",
        "one word", "add the object",
    ),
    "never of one word": (
        '["turn the drum to disarmed"]', "[Disarmed]", 17, 13, "steps[drum].never[1]", "one word",
        "whole statement",
    ),
    "never that is almost accepted": (
        '["turn the drum to disarmed"]', '["Open the flap and pull that spring pin"]', 17, 13,
        "steps[drum].never[1]", "almost what step 'flap' accepts", "clear opposite",
    ),
    "steps almost alike": (
        "say: Door two left armed and cross-checked",
        "say: Then open the flap and pull the spring pin", 22, 10, "steps[call].say",
        "almost the same words as step 'flap'", "differently",
    ),
    "steps that are opposites": (
        "say: Door two left armed and cross-checked",
        "say: Close the flap and pull the spring pin", 22, 10, "steps[call].say",
        "differs from step 'flap' in one word", "what else is different",
    ),
    "wording that two steps accept": (
        "    command: true",
        '    command: true\n    also: ["Open the flap, and pull the spring pin"]',
        24, 12, "steps[call].also[1]", "step 'flap' accepts the same", "keep it in one",
    ),
    "after that changes nothing": (
        "    after: [drum]", "    after: [drum, flap]", 20, 12, "steps[panes].after",
        "the same without it", "take the line out",
    ),
    "after that another implies": (
        "    command: true", "    command: true\n    after: [flap, drum]", 24, 13,
        "steps[call].after[1]", "'drum' follows 'flap' already", "take 'flap' out",
    ),
    "after a step below": (
        "    also:", "    after: [call]\n    also:", 12, 13, "steps[flap].after[1]",
        "stands below it", "move the step below 'call'",
    ),
    "share that never decides": (
        "share: 0.8", "share: 0.25", 8, 30, "pass.share", "1 are critical anyway", "above 0.25",
    ),
    "critical steps that do not decide": (
        "critical: all", "critical: none", 8, 18, "pass.critical", "may be left out",
        "critical: all",
    ),
    "a limit nobody can keep": (
        "within: 90", "within: 5", 8, 43, "pass.within", "cannot be said in 5 seconds",
        "at least 11 seconds",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ADVICE)
def test_advises(write: Write, good: str, name: str) -> None:
    """One weakness gets its advice with line, column and mend."""
    old, new, line, column, field, fault, mend = ADVICE[name]
    assert old in good
    text = good.replace(old, new, 1)
    if "below" in name:  # the others must not wait for a step that now waits for them
        text = text.replace("order: strict", "order: free")
    path = write(text)
    matching = [advice for advice in lint(read(path)) if fault in advice.fault]
    (advice,) = matching
    assert (advice.path, advice.line, advice.column) == (path, line, column)
    assert advice.field == field
    assert mend in advice.mend


def test_advises_when_no_step_is_critical(write: Write, good: str) -> None:
    """A pass rule about critical steps needs one."""
    text = good.replace("    critical: true\n", "")
    faults = [advice.fault for advice in lint(read(write(text)))]
    assert faults == ["no step is critical"]


def test_advises_when_everything_passes(write: Write, good: str) -> None:
    """A rule that an empty take meets is no rule."""
    text = good.replace("critical: all, share: 0.8", "critical: none, share: 0")
    faults = [advice.fault for advice in lint(read(write(text)))]
    assert "every take passes, even an empty one" in faults


def test_advises_without_a_file(write: Write, good: str) -> None:
    """A procedure that comes from no file is still advised on, at line 1."""
    path = write(good.replace("    reason: Only an armed door fills its slide.\n", ""))
    (advice,) = lint(replace(read(path), path=None))
    assert (advice.line, advice.column) == (1, 1)
    assert "reason" in advice.fault


def test_advises_when_the_file_has_gone(write: Write, good: str) -> None:
    """A file that was deleted since it was read costs the places, nothing more."""
    path = write(good.replace("    reason: Only an armed door fills its slide.\n", ""))
    procedure = read(path)
    path.unlink()
    (advice,) = lint(procedure)
    assert (advice.path, advice.line, advice.column) == (path, 1, 1)


def test_a_share_that_no_number_could_mend(write: Write, good: str) -> None:
    """Where every step is critical, no share can ask for more; the mend is to take it out."""
    text = good.replace("    command: true", "    command: true\n    critical: true")
    for before in ("    also: [", "    after: [drum]"):
        text = text.replace(before, f"    critical: true\n{before}")
    mends = [each.mend for each in lint(read(write(text))) if each.field == "pass.share"]
    assert mends == ["take it out"]
