from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.authoring.difference import changes
from rehearse.authoring.pairing import kept_in_place
from rehearse.book.model import Demands, Procedure, Step
from rehearse.book.reader import read
from tests.authoring.conftest import ARM, SHIPPED, Type

OLD = ARM.read_text("utf-8")
DRUM = "Turn the mode drum a quarter turn towards the hinge to armed"


def edited(tmp_path: Path, *edits: tuple[str, str], number: int = 4) -> Path:
    """The shipped arming procedure with some text exchanged, under a revision number."""
    text = OLD.replace("number: 3", f"number: {number}")
    for before, after in edits:
        assert before in text
        text = text.replace(before, after, 1)
    path = tmp_path / "new.yaml"
    path.write_text(text, "utf-8")
    return path


EDITS = {
    "wording": ((("towards the hinge to armed", "towards the frame to armed"),),
                "step 2 'drum': now reads", "(hinge → frame)"),
    "critical flag off": ((("    critical: true\n", ""),), "'drum': is no longer critical", ""),
    "critical flag on": ((("    also:", "    critical: true\n    also:"),),
                         "'flap': is now critical", ""),
    "command": ((("    command: true\n", ""),), "'call': is no longer a command", ""),
    "another wording": ((("      - rotate the drum to armed\n", ""),),
                        "no longer counts as said: “rotate the drum to armed”", ""),
    "forbidden": ((("- turn the drum to disarmed", "- turn the drum to normal"),),
                  "now is forbidden: “turn the drum to normal”", "no longer is forbidden"),
    "order of one step": ((("    after: [drum]\n", ""),),
                          "may be said in its place, was any time after step 2 (drum)", ""),
    "order of all": ((("order: strict", "order: free"),), "the order is free, was as listed", ""),
    "title": ((("title: Arm door", "title: Arming door"),), "it is called Arming door 2 left", ""),
    "crew": ((("[C4]", "[C4, C5]"),), "the crew is C4, C5, was C4", ""),
    "pass rule": ((("share: 0.8", "share: 1"),), "it passes with all 5 steps", ""),
    "reason": ((("Only an armed door", "An armed door"),), "its reason is now “An armed door", ""),
    "demands": ((("    critical: true\n", "    demands: {named: [mode drum]}\n"),),
                "'drum': now must be named: mode drum", ""),
    "renamed": ((("- id: call", "- id: report"),), "step 5 'report': was called 'call'", ""),
    "added": ((("  - id: pin\n", "  - id: wait\n    say: Wait for the click\n  - id: pin\n"),),
              "step 3 'wait': added as step 3: “Wait for the click”", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", EDITS)
def test_a_change_is_told_in_words(type_in: Type, tmp_path: Path, name: str) -> None:
    """Each kind of change is named, with the step and the words it is about."""
    edits, part, also = EDITS[name]
    outcome = type_in("book", "diff", ARM, edited(tmp_path, *edits))
    told = " ".join(" ".join(outcome.out).split())
    assert outcome.status == 1
    assert part in told
    assert also in told
    assert "the revision is 4, was 3" in told


def test_a_step_that_moved_is_the_only_one() -> None:
    """Moving one step tells one move, not one for each step it passed."""
    old = read(ARM)
    steps = old.steps
    new = replace(old, steps=(steps[4], *steps[:4]))
    assert [change.text for change in changes(old, new)] == ["moved from place 5 to 1"]


def test_a_step_that_was_taken_out_and_one_put_in() -> None:
    """Steps without a counterpart are told as gone and as new, with their words."""
    old = read(ARM)
    other = Step("door", "Close the door", critical=True)
    new = replace(old, steps=(*old.steps[1:], other))
    texts = [change.text for change in changes(old, new) if change.step]
    assert texts == [
        "added as step 5 (critical): “Close the door”",
        "taken out, was step 1: “Open the flap and pull the spring pin”",
    ]


def test_the_number_that_should_have_been_raised(type_in: Type, tmp_path: Path) -> None:
    """A changed text under the old number, or under a lower one, is remarked on."""
    edit = ((DRUM, "Turn the mode drum to armed"),)
    same = type_in("book", "diff", ARM, edited(tmp_path, *edit, number=3))
    assert "the revision number is 3 in both" in " ".join(" ".join(same.out).split())
    lower = type_in("book", "diff", ARM, edited(tmp_path, *edit, number=2))
    assert "went back from 3 to 2" in " ".join(lower.out)
    unasked = type_in("book", "diff", ARM, edited(tmp_path))
    assert "What is asked is the same" in " ".join(unasked.out)


def test_nothing_differs(type_in: Type) -> None:
    """A file is equal to itself, by name or by id."""
    outcome = type_in("book", "diff", SHIPPED / "arm-door-2l.yaml", "arm-door-2l")
    assert (outcome.status, outcome.out) == (0, ["nothing differs"])


def test_two_folders(type_in: Type, tmp_path: Path) -> None:
    """A whole book is compared by id, and what is in one only is named."""
    for name, text in (("old", OLD), ("new", OLD.replace("share: 0.8", "share: 1"))):
        (tmp_path / name).mkdir()
        (tmp_path / name / "a.yaml").write_text(text, "utf-8")
    (tmp_path / "new" / "b.yaml").write_text(OLD.replace("arm-door-2l", "other"), "utf-8")
    outcome = type_in("book", "diff", tmp_path / "old", tmp_path / "new")
    assert "only in the new folder: other" in outcome.out
    assert any("it passes with all 5 steps" in line for line in outcome.out)
    mixed = type_in("book", "diff", tmp_path / "old", ARM)
    assert (mixed.status, len(mixed.err)) == (2, 1)
    assert "two files or two folders" in mixed.err[0]


@given(st.permutations(range(7)))
def test_the_fewest_steps_are_told_as_moved(places: list[int]) -> None:
    """What is kept in place rises, and no longer rising run exists."""
    kept = [place for place in places if place in kept_in_place(places)]
    assert kept == sorted(kept)
    best = 0
    longest = [0] * len(places)
    for at, place in enumerate(places):
        longest[at] = 1 + max((longest[b] for b in range(at) if places[b] < place), default=0)
        best = max(best, longest[at])
    assert len(kept) == best


def test_every_field_of_a_procedure_is_compared() -> None:
    """A change in any field of a procedure or step is told: nothing can be added and forgotten."""
    old = read(ARM)
    exempt = {"steps", "path", "lexicon"}
    other = read(SHIPPED / "ditching-door-3r.yaml")
    for name in Procedure.__dataclass_fields__:
        value = getattr(other, name)
        if name not in exempt and value != getattr(old, name):
            assert changes(old, replace(old, **{name: value})), name
    assert changes(old, replace(old, topic="other"))
    step = old.steps[1]
    values: dict[str, Any] = {
        "id": "x", "say": "Other", "critical": False, "command": True, "also": (), "never": (),
        "after": (), "reason": "", "demands": Demands(named=("mode drum",)),
    }  # fmt: skip
    assert set(values) == set(Step.__dataclass_fields__)
    for name, value in values.items():
        new = replace(old, steps=(old.steps[0], replace(step, **{name: value}), *old.steps[2:]))
        assert changes(old, new), name
