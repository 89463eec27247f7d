"""An operator's folder outside the project: own words, signals and pass rules, and no code."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from rehearse.book.shelf import VARIABLE
from tests.authoring.conftest import Type

AIRCRAFT = """\
aircraft: skerry-30
name: Skerry 30
language: en
revision: {number: 1, effective: 2026-10-01, source: "OM 1"}
plan: {length: 20, width: 3}
zones:
  - {id: forward, name: forward cabin, place: in the forward cabin, from: 0, to: 20}
doors:
  - id: 1L
    name: door one left
    zone: forward
    side: left
    at: [3, -1.5]
    exit: door
    slide: slide
positions:
  - id: C1
    name: C1
    seat: {zone: forward, at: [2, -1]}
    opens: [1L]
    area: the whole cabin
    leaves: 1L
    takes: {}
kinds:
  - {id: horn, name: horn, plural: horns, check: It sounds}
stations:
  - id: locker
    name: the locker
    place: in the locker behind row two
    zone: forward
    side: left
    at: [4, -1]
    items: {horn: 1}
signals:
  - id: leave
    name: leaving signal
    sound: three long hoots
    light: a green lamp
    from: the panel at door one left
    silence: turn the knob to the right
    means: leave the aircraft
"""
LEXICON = """\
language: en
synonyms: [[doorway, gangway]]
contrasts:
  - name: latching
    values: [home, proud]
    forms: [[home, proud]]
    near: [bolt]
    named: true
"""
PROCEDURE = """\
procedure: leave-skerry
title: Leave the Skerry
aircraft: skerry-30
positions: [C1]
language: en
revision: {number: 1, effective: 2026-12-01, source: "OM 4.1"}
order: free
pass: {critical: all, share: 0.75}
steps:
  - id: signal
    say: Listen for {sound of leave}
    critical: true
    reason: Another signal means something else.
    never: [Listen for two long hoots]
  - id: bolt
    say: Check that the bolt is home
    critical: true
    reason: A bolt that stands out jams the door.
    never: [Check that the bolt is proud]
  - id: horn
    say: Take the horn {place of horn}
  - id: doorway
    say: Keep the doorway clear
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The operator's folder, named by the environment."""
    for name, text in (
        ("aircraft.yaml", AIRCRAFT), ("lexicon.yaml", LEXICON), ("leave.yaml", PROCEDURE),
    ):  # fmt: skip
        (tmp_path / name).write_text(text, "utf-8")
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    return tmp_path


def test_it_is_found_and_checked(folder: Path, type_in: Type) -> None:
    """Its procedures are listed beside the shipped ones, and lint has nothing against them."""
    listed = type_in("book", "list").out
    assert "skerry-30" in listed
    assert any("leave-skerry" in line for line in listed)
    outcome = type_in("book", "lint", *sorted(folder.glob("*.yaml")))
    assert (outcome.status, outcome.err) == (0, [])


def test_it_is_judged_by_its_own_rules(folder: Path, type_in: Type) -> None:
    """Own synonyms are understood, own opposites are wrong, and its pass rule decides."""
    hoots, free = "I listen for three long hoots", "Keep the gangway clear"
    horn = "Take the horn in the locker behind row two"
    sayings = {
        "own words": ([hoots, "The bolt is home", free], "said said not_said said"),
        "own opposite": ([hoots, "The bolt is proud", free], "said wrong not_said said"),
        "other signal": (["I listen for two long hoots", "The bolt is home", horn, free],
                         "wrong said said said"),
    }  # fmt: skip
    files = []
    for name, (texts, _) in sayings.items():
        files.append(folder / f"{name}.jsonl")
        files[-1].write_text("".join(json.dumps({"text": t}) + "\n" for t in texts), "utf-8")
    outcome = type_in("score", "leave-skerry", "--json", "--words", *files)
    assert outcome.status == 1
    rows = [json.loads(line) for line in outcome.out]
    for (name, (_, verdicts)), row in zip(sayings.items(), rows, strict=True):
        assert " ".join(step["verdict"] for step in row["steps"]) == verdicts, name
        assert row["passed"] == (name == "own words"), name
