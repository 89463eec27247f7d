"""Chapters of a manual as Markdown and plain text, taken over as procedures."""

from __future__ import annotations

from pathlib import Path

import pytest

from rehearse.authoring.drafted import DraftProcedure
from rehearse.authoring.importing import take_over, texts_of
from rehearse.authoring.landing import land
from rehearse.authoring.taken import Taken
from rehearse.book.reader import read
from rehearse.errors import AuthoringError, BookError
from tests.authoring.conftest import CHAPTER, Type, target


def taken(tmp_path: Path, text: str, name: str = "chapter.md") -> Taken:
    """What is made of a chapter."""
    path = tmp_path / name
    path.write_text(text, "utf-8")
    return take_over(path, target(name))


def says(procedure: DraftProcedure) -> list[str]:
    """The sentences of its steps."""
    return [step.say for step in procedure.steps]


def kinds(made: Taken) -> set[str]:
    """What sorts of decisions are asked for."""
    return {doubt.kind for doubt in made.doubts}


def test_the_chapter_in_one_command(type_in: Type, tmp_path: Path) -> None:
    """A chapter of sixty entries becomes valid procedures that cite their paragraphs."""
    outcome = type_in("book", "import", CHAPTER, "--aircraft", "tarn-240", "--manual", "CSM",
                      "--effective", "2026-12-01", "-o", tmp_path)  # fmt: skip
    assert outcome.status == 0
    assert "60 entries read; 58 steps written in 7 procedures" in outcome.out[0]
    made = {path.stem: read(path) for path in tmp_path.glob("*.yaml")}
    assert sum(len(procedure.steps) for procedure in made.values()) == 58
    galley = made["galley-securing"]
    assert galley.revision.source == "CSM 7.2"
    assert galley.step("turn-bay-latch").reason.startswith("A cart without its latch")
    assert not any(step.critical for procedure in made.values() for step in procedure.steps)


def test_every_entry_of_the_chapter_is_accounted_for() -> None:
    """What did not become a step is told with its line, and stands as a comment in the file."""
    made = take_over(CHAPTER, target(CHAPTER.name))
    entries = [line.strip() for line in CHAPTER.read_text("utf-8").splitlines()]
    steps = {say for procedure in made.procedures for say in says(procedure)}
    told = {doubt.line for doubt in made.doubts}
    texts = " ".join(texts_of(made).values()).replace("\n  #", "")
    for number, line in enumerate(entries, start=1):
        text = line.partition(" ")[2].rstrip(".")
        if line and not line.startswith(("#", "|")) and text not in steps:
            assert number in told or number - 1 in told, line
    assert "leads in: On two rings of the fuel bell, shout:" in texts


def test_markdown_lists_notes_and_nested_items(tmp_path: Path) -> None:
    """Nested entries are steps, notes inside an entry its reason, those outside are asked about."""
    made = taken(tmp_path, """\
## 4.1 Arm the door

**Warning:** Not with stairs attached.

1. Open the *flap*.
2. Check:
   - the [lamp](http://x) is lit
   - both panes amber

     > Caution: A dark lamp means disarmed.
3. Call
   a) the purser
""")  # fmt: skip
    (procedure,) = made.procedures
    assert says(procedure) == [
        "Open the flap", "the lamp is lit", "both panes amber", "Call", "the purser",
    ]  # fmt: skip
    assert procedure.steps[2].reason == "A dark lamp means disarmed."
    assert any("Not with stairs attached." in remark for remark in procedure.remarks)
    lines = {(doubt.kind, doubt.line) for doubt in made.doubts}
    assert {("note", 3), ("note", 10), ("critical", 10), ("left out", 6)} <= lines


def test_plain_text_with_dotted_numbers(tmp_path: Path) -> None:
    """Dotted numbers are headings over lists and entries under headings, as their place shows."""
    made = taken(tmp_path, """\
4.1 ARM THE DOOR

WARNING: never with stairs attached.
1. Open the flap and pull
   the spring pin.
   Note: It is stiff.
2. Turn the drum.
   a) panes amber

4.2 Disarm the door
4.2.1 Open the flap
4.2.2 Turn the drum away

Closing
-------
- Close the door
""", "chapter.txt")  # fmt: skip
    arm, disarm, close = made.procedures
    assert (arm.title, arm.source) == ("Arm the door", "CSM 4.1")
    assert says(arm) == ["Open the flap and pull the spring pin", "Turn the drum", "panes amber"]
    assert arm.steps[0].reason == "It is stiff."
    assert says(disarm) == ["Open the flap", "Turn the drum away"]
    assert "4.2.2" in disarm.steps[1].remarks[-1]
    assert (close.title, close.source) == ("Closing", "CSM, line 14")


SIGNS = {
    "critical": "1. You must hold the grip",
    "facts": "1. Open the flap, turn the drum and close the flap",
    "condition": "1. If the lamp is out call the purser",
    "number": "1. Wait for 6 seconds",
    "reference": "1. Do as 4.2.1 says",
    "command": '1. Shout "Belts off!" to the cabin',
    "repeated": "1. Turn the drum\n2. Close the flap\n3. Turn the drum.",
    "split": "1. " + "Turn the drum until it stops. " * 12,
    "left out": "1. Open it\n\n```\nnot a step\n```",
    "lists": "1. Open it\n\nThen\n\n* Close it",
    "prose": "Some text.\n\n1. Open it",
}


@pytest.mark.parametrize("kind", SIGNS)
def test_what_needs_a_decision_is_told(tmp_path: Path, kind: str) -> None:
    """Each sign by which a person must decide is found, and only where it stands."""
    made = taken(tmp_path, f"# Do it\n\n{SIGNS[kind]}\n")
    assert kind in kinds(made)
    assert kind not in kinds(taken(tmp_path, "# Do it\n\n1. Open the flap\n"))
    assert not any(step.critical for procedure in made.procedures for step in procedure.steps)
    land(tmp_path / "out", texts_of(made))


def test_whole_shouted_entries_are_proposed_as_commands(tmp_path: Path) -> None:
    """Capitals or quotation marks around all of an entry propose a command, and it is said so."""
    made = taken(
        tmp_path, '# Out\n\n1. BELTS OFF! BAGS DOWN!\n2. "This way out!"\n3. Hold the grip\n'
    )
    (procedure,) = made.procedures
    assert [(step.say, step.command) for step in procedure.steps] == [
        ("BELTS OFF! BAGS DOWN!", True), ("This way out!", True), ("Hold the grip", False),
    ]  # fmt: skip
    assert [doubt.line for doubt in made.doubts if doubt.kind == "command"] == [3, 4]


def test_capitals_say_nothing_in_a_manual_that_writes_everything_so(tmp_path: Path) -> None:
    """Where most entries are in capitals none is taken for a shout."""
    made = taken(tmp_path, "# Out\n\n1. OPEN THE FLAP\n2. TURN THE DRUM\n3. Call\n")
    assert not any(step.command for step in made.procedures[0].steps)


def test_the_same_heading_twice(tmp_path: Path) -> None:
    """Two procedures of one name get ids of their own, and that is told."""
    made = taken(tmp_path, "# Out\n\n1. Open it\n\n# Out\n\n1. Close it\n")
    assert [procedure.id for procedure in made.procedures] == ["out", "out-2"]
    assert "name" in kinds(made)


def test_a_heading_with_nothing_under_it_is_told(tmp_path: Path) -> None:
    """A heading whose steps were not found is not passed over in silence."""
    made = taken(tmp_path, "# All\n\n## Arm\n\n1. Open it\n\n## Disarm\n\nText only.\n")
    told = [doubt for doubt in made.doubts if doubt.kind == "left out"]
    assert [doubt.line for doubt in told] == [7]
    assert "'Disarm'" in told[0].fault


@pytest.mark.parametrize(
    "entry",
    ["- Say: \"it's #1\" \\ & *all*", "- Yes", "- [ ] {a: b}", "- 'tis: so", "- Öffne die Klappe",
     "- ---", "- null and void", "- key: value", "- a # b"],
)  # fmt: skip
def test_any_characters_come_through(tmp_path: Path, entry: str) -> None:
    """Whatever stands in an entry, the file that is written reads back with the same words."""
    made = taken(tmp_path, f"Things\n======\n\n- First of all\n{entry}\n", "chapter.txt")
    paths = land(tmp_path / "out", texts_of(made))
    read_back = [step.say for path in paths for step in read(path).steps]
    assert read_back == [say for procedure in made.procedures for say in says(procedure)]


def test_what_cannot_be_taken_over(tmp_path: Path, type_in: Type) -> None:
    """A file without lists, of another kind, or that is not there gives one line each."""
    with pytest.raises(AuthoringError, match="there is no list in it"):
        taken(tmp_path, "Just text.\n")
    with pytest.raises(AuthoringError, match=r"\.md, \.txt, \.csv or \.xlsx"):
        taken(tmp_path, "x", "chapter.docx")
    with pytest.raises(BookError, match="there is no such file"):
        take_over(tmp_path / "none.md", target())
    (tmp_path / "latin.txt").write_bytes(b"1. T\xfcr")
    outcome = type_in("book", "import", tmp_path / "latin.txt", "--aircraft", "t", "-o", tmp_path)
    assert (outcome.status, len(outcome.err)) == (2, 1)
    assert "latin.txt:1:5: file: this is not UTF-8 text" in outcome.err[0]


def test_a_second_import_replaces_nothing(type_in: Type, tmp_path: Path) -> None:
    """One file that is there already stops the whole import, before anything is written."""
    words = ("book", "import", CHAPTER, "--aircraft", "tarn-240", "-o", tmp_path)
    (tmp_path / "jump-seat-check.yaml").write_text("mine")
    refused = type_in(*words)
    assert refused.status == 2
    assert "there already: jump-seat-check.yaml" in refused.err[0]
    assert [path.name for path in tmp_path.iterdir()] == ["jump-seat-check.yaml"]
    assert type_in(*words, "--replace").status == 0
    assert read(tmp_path / "jump-seat-check.yaml").revision.source == "manual-chapter.md 7.6"
