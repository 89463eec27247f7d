from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from rehearse.book.model import PassRule, Revision, Step
from rehearse.book.reader import locate, read
from rehearse.errors import BookError, Problem

Write = Callable[[str | bytes], Path]


def problems(path: Path) -> list[Problem]:
    """The faults of a file that must not be readable."""
    with pytest.raises(BookError) as caught:
        read(path)
    return caught.value.problems


def test_reads_every_value(write: Write, good: str) -> None:
    """A valid file becomes a procedure with all that the file says."""
    path = write(good)
    procedure = read(path)
    assert (procedure.id, procedure.title) == ("arm-door-2l", "Arm door 2 left")
    assert (procedure.aircraft, procedure.language) == ("tarn-240", "en")
    assert procedure.positions == ("C4",)
    assert procedure.revision == Revision(3, date(2026, 10, 1), "CSM 4.2.1")
    assert procedure.order == "strict"
    assert procedure.pass_rule == PassRule("all", 0.8, 90.0)
    assert procedure.path == path
    assert procedure.steps[1] == Step(
        id="drum",
        say="Turn the mode drum a quarter turn towards the hinge to armed",
        critical=True,
        never=("turn the drum to disarmed",),
        reason="Only an armed door fills its slide.",
    )
    assert procedure.steps[2].after == ("drum",)
    assert procedure.steps[3].command
    assert procedure.steps[0].also == ("Lift the flap and pull out the spring pin",)


def test_reads_the_published_example(write: Write) -> None:
    """The example that describes the format is a valid file, comments and all."""
    procedure = read(
        write(
            """\
procedure: arm-door-2l          # id: letters, digits, hyphens
title: Arm door 2 left
aircraft: tarn-240
positions: [C4]                 # crew positions it belongs to
language: en
revision: {number: 3, effective: 2026-10-01, source: "CSM 4.2.1"}
order: strict                   # or free; a step's `after` refines either
pass: {critical: all, share: 0.8}
steps:
  - id: flap
    say: Open the flap and pull the spring pin
  - id: drum
    say: Turn the mode drum a quarter turn towards the hinge to armed
    critical: true
    also: ["rotate the drum to armed"]        # other accepted wordings
    never: ["turn the drum to disarmed"]      # statements that must not be accepted
  - id: panes
    say: Check both witness panes show the amber band and the sill lamp is lit
    critical: true
    after: [drum]
  - id: call
    say: Door two left armed and cross-checked
    command: true                             # judged word by word
"""
        )
    )
    assert procedure.predecessors["call"] == {"flap", "drum", "panes"}
    assert [step.critical for step in procedure.steps] == [False, True, True, False]


def test_reads_the_least_file(write: Write, good: str) -> None:
    """Without positions, order and pass a file stands for everyone, in order, all steps."""
    kept = [
        line for line in good.splitlines() if not line.startswith(("positions", "order", "pass"))
    ]
    procedure = read(write("\n".join(kept)))
    assert procedure.positions == ()
    assert procedure.order == "strict"
    assert procedure.pass_rule == PassRule("all", 1.0, None)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("effective: 2026-10-01", 'effective: "2026-10-01"'),
        ("share: 0.8", "share: 1"),
        ("share: 0.8", "share: 0"),
        ("within: 90", "within: 0.5"),
        ("after: [drum]", "after: []"),
        ("positions: [C4]", "positions: [C4, R2, FA]"),
        ("id: flap", "id: no"),
        ("id: flap", "id: 12"),
        ("say: Open the flap and", "say: >\n      Open the flap\n      and"),
        ("    command: true", "    command: false"),
        ("\n", "\r\n"),
        ("procedure: arm", "---\nprocedure: arm"),
        ("procedure: arm", "\ufeffprocedure: arm"),
        ("    command: true\n", "    command: true\n...\n"),
    ],
)
def test_accepts(write: Write, good: str, old: str, new: str) -> None:
    """Equal ways of writing a thing are all read."""
    assert old in good
    assert read(write(good.replace(old, new))).title == "Arm door 2 left"


# What is replaced, by what, and where the fault is told: line, column, field, part of the fault,
# part of the mend.
FAULTS = {
    "unknown key": ("title:", "tittle:", 2, 1, "tittle", "unknown", "write 'title'"),
    "unknown key, far from any": (
        "title:",
        "colour: red\ntitle:",
        2, 1, "colour", "unknown", "known here: procedure, title",
    ),
    "unknown key of a step": (
        "    critical: true", "    crticial: true", 15, 5, "steps[drum].crticial", "unknown",
        "write 'critical'",
    ),
    "unknown key of the revision": (
        "source:", "sauce:", 6, 46, "revision.sauce", "unknown", "write 'source'",
    ),
    "unknown key of pass": (
        "within:", "inside:", 8, 35, "pass.inside", "unknown", "critical, share, within",
    ),
    "merge key": ("title:", "<<: {a: b}\ntitle:", 2, 1, "<<", "unknown", "take it out"),
    "duplicate key": (
        "aircraft:", "title: Again\naircraft:", 3, 1, "title", "line 2", "keep one",
    ),
    "duplicate key of a step": (
        "    critical: true", "    critical: true\n    critical: false", 16, 5,
        "steps[drum].critical", "line 15", "keep one",
    ),
    "missing title": (
        "title: Arm door 2 left\n", "", 1, 1, "title", "missing", "add a line 'title: ...'",
    ),
    "missing source": (
        ', source: "CSM 4.2.1"', "", 6, 11, "revision.source", "missing", "add a line 'source",
    ),
    "missing say": (
        "    say: Open the flap and pull the spring pin\n", "", 10, 5, "steps[flap].say",
        "missing", "add a line 'say: ...'",
    ),
    "missing id": (
        "  - id: call\n    say", "  - say", 21, 5, "steps[4].id", "missing", "add a line 'id",
    ),
    "list as a key": (
        "title:", "? [a]\n: b\ntitle:", 2, 3, "file", "cannot be a key", "write a word",
    ),
    "anchor": ("title: Arm", "title: &a Arm", 2, 8, "file", "anchor '&a'", "in quotes"),
    "reference": (
        "  - id: call\n", "  - *x\n  - id: call\n", 21, 5, "file", "reference '*x'",
        "write the text out",
    ),
    "tag": ("title: Arm", "title: !door Arm", 2, 8, "file", "tag '!door'", "take the tag out"),
    "python tag": (
        "title: Arm", "title: !!python/name:os.system Arm", 2, 8, "file", "tag '!!python",
        "take the tag out",
    ),
    "second document": (
        "    command: true\n", "    command: true\n---\na: b\n", 24, 1, "file", "second document",
        "one procedure a file",
    ),
    "id with spaces": (
        "procedure: arm-door-2l", "procedure: Arm door 2l", 1, 12, "procedure", "not an id",
        "as 'Arm-door-2l'",
    ),
    "id with an underscore": (
        "id: flap", "id: the_flap", 10, 9, "steps[1].id", "not an id", "as 'the-flap'",
    ),
    "id with a leading hyphen": ("id: flap", "id: -flap", 10, 9, "steps[1].id", "not an", "as 'f"),
    "endless id": ("id: flap", "id: " + "f" * 61, 10, 9, "steps[1].id", "61 characters", "shorten"),
    "id used twice": ("id: call", "id: flap", 21, 9, "steps[flap].id", "line 10", "of its own"),
    "title that is a number": ("title: Arm door 2 left", "title: 12", 2, 8, "title", "a number",
        'in quotes: "12"'),
    "title that is yes": ("title: Arm door 2 left", "title: yes", 2, 8, "title", "true or false",
        'in quotes: "yes"'),
    "title that is a date": ("title: Arm door 2 left", "title: 2026-10-01", 2, 8, "title",
        "a date", "in quotes"),
    "title without a value": ("title: Arm door 2 left", "title:", 2, 7, "title", "no value",
        "write what"),
    "title that is a list": ("title: Arm door 2 left", "title: [Arm]", 2, 8, "title", "a list",
        "write what"),
    "title of keys": ("title: Arm door 2 left", "title: {a: b}", 2, 8, "title", "keys stand here",
        "write what"),
    "title with a bell in it": ("title: Arm door 2 left", 'title: "Arm \\a"', 2, 8, "title",
        "U+0007", "take it out"),
    "unknown language": ("language: en", "language: xx", 5, 11, "language", "'xx' is not known",
        "as en"),
    "unknown order": ("order: strict", "order: stric", 7, 8, "order", "'stric'", "write strict"),
    "order that is a number": ("order: strict", "order: 1", 7, 8, "order", "'1'",
        "strict or free"),
    "position in small letters": ("[C4]", "[c4]", 4, 13, "positions[1]", "not a crew position",
        "as C4"),
    "position too long": ("[C4]", "[CABIN1]", 4, 13, "positions[1]", "not a crew position",
        "as C4"),
    "position twice": ("[C4]", "[C4, C4]", 4, 17, "positions[2]", "second time", "take it out"),
    "positions without brackets": ("[C4]", "C4", 4, 12, "positions", "not a list", "[C4]"),
    "positions without a value": ("[C4]", "", 4, 11, "positions", "no value", "write a list"),
    "revision that is a number": ('{number: 3, effective: 2026-10-01, source: "CSM 4.2.1"}', "3",
        6, 11, "revision", "no keys", "'number: '"),
    "revision number in words": ("number: 3", "number: three", 6, 20, "revision.number",
        "not a whole", "as 3"),
    "revision number with a fraction": ("number: 3", "number: 3.5", 6, 20, "revision.number",
        "not a whole", "as 3"),
    "revision number below zero": ("number: 3", "number: -3", 6, 20, "revision.number",
        "not a whole", "as 3"),
    "revision number that is true": ("number: 3", "number: true", 6, 20, "revision.number",
        "not a whole", "as 3"),
    "revision number of endless digits": ("number: 3", "number: " + "9" * 5000, 6, 20,
        "revision.number", "not a whole", "as 3"),
    "a day that does not exist": ("2026-10-01", "2026-02-30", 6, 34, "revision.effective",
        "there is no day", "year-month-day"),
    "a date the other way round": ("2026-10-01", "01.10.2026", 6, 34, "revision.effective",
        "not a date", "year-month-day"),
    "a date with a time": ("2026-10-01", "2026-10-01T10:00:00Z", 6, 34, "revision.effective",
        "not a date", "year-month-day"),
    "a date without a day": ("2026-10-01", "2026-10", 6, 34, "revision.effective", "not a date",
        "year-month-day"),
    "source that is a number": ('"CSM 4.2.1"', "4.2", 6, 54, "revision.source", "a number",
        'in quotes: "4.2"'),
    "share above one": ("share: 0.8", "share: 80", 8, 30, "pass.share", "not between 0 and 1",
        "write 0.8 for 80"),
    "share below zero": ("share: 0.8", "share: -0.1", 8, 30, "pass.share", "not between",
        "from 0 to 1"),
    "share in quotes": ("share: 0.8", 'share: "0.8"', 8, 30, "pass.share", "is text",
        "take the quotes away"),
    "share in per cent": ("share: 0.8", "share: 80%", 8, 30, "pass.share", "not a number",
        "from 0 to 1"),
    "share that is no number": ("share: 0.8", "share: .nan", 8, 30, "pass.share", "not a number",
        "from 0 to 1"),
    "share that is true": ("share: 0.8", "share: true", 8, 30, "pass.share", "not a number",
        "from 0 to 1"),
    "within as minutes and seconds": ("within: 90", "within: 1:30", 8, 43, "pass.within",
        "not a number", "as 90"),
    "within zero": ("within: 90", "within: 0", 8, 43, "pass.within", "not between", "as 90"),
    "within without end": ("within: 90", "within: .inf", 8, 43, "pass.within", "not a number",
        "as 90"),
    "critical steps in a pass": ("{critical: all", "{critical: some", 8, 18, "pass.critical",
        "'some'", "all or none"),
    "critical: yes": ("critical: true", "critical: yes", 15, 15, "steps[drum].critical", "neither",
        "write true"),
    "critical in quotes": ("critical: true", 'critical: "true"', 15, 15, "steps[drum].critical",
        "neither", "without quotes"),
    "critical: 1": ("critical: true", "critical: 1", 15, 15, "steps[drum].critical", "neither",
        "true or false"),
    "command without a value": ("command: true", "command:", 23, 13, "steps[call].command",
        "no value", "true or false"),
    "steps that are keys": ("steps:\n  - id: flap\n", "steps:\n    id: flap\n", 13, 3, "file",
        "not valid YAML", "indent"),
    "a step that is a text": ("  - id: call\n", "  - flap\n  - id: call\n", 21, 5, "steps[4]",
        "no keys", "'id: '"),
    "an empty step": ("  - id: call\n", "  -\n  - id: call\n", 21, 4, "steps[4]", "no keys",
        "'id: '"),
    "say without a value": ("say: Door two left armed and cross-checked", "say:", 22, 9,
        "steps[call].say", "no value", "words to be said"),
    "say that is empty": ("say: Door two left armed and cross-checked", 'say: " "', 22, 10,
        "steps[call].say", "empty", "words to be said"),
    "say without letters": ("say: Door two left armed and cross-checked", 'say: "2 - 4!"', 22, 10,
        "steps[call].say", "no letters", "spelt out"),
    "say that is false": ("say: Door two left armed and cross-checked", "say: off", 22, 10,
        "steps[call].say", "true or false", 'in quotes: "off"'),
    "say of 61 words": ("say: Door two left armed and cross-checked", "say: " + "go " * 61, 22, 10,
        "steps[call].say", "61 words", "split it"),
    "say of one endless word": ("say: Door two left armed and cross-checked", "say: " + "a" * 501,
        22, 10, "steps[call].say", "501 characters", "shorten"),
    "the same words twice": ("say: Door two left armed and cross-checked",
        "say: open the flap, and pull the spring pin!", 22, 10, "steps[call].say", "line 11",
        "what is different"),
    "also without brackets": ('also: ["Lift the flap and pull out the spring pin"]',
        "also: Lift the flap", 12, 11, "steps[flap].also", "not a list", "in brackets"),
    "also with a number": ('["Lift the flap and pull out the spring pin"]', "[Lift it up, 12]", 12,
        24, "steps[flap].also[2]", "a number", "in quotes"),
    "also without end": ('["Lift the flap and pull out the spring pin"]',
        "[" + ", ".join(f"way {number}" for number in range(51)) + "]", 12, 11, "steps[flap].also",
        "51 entries", "keep those"),
    "never equal to a say": ("turn the drum to disarmed",
        "Turn the mode drum a quarter turn towards the hinge to ARMED!", 17, 13,
        "steps[drum].never[1]", "line 14", "not both"),
    "never equal to an also": ("turn the drum to disarmed",
        "lift the flap and pull out the spring pin", 17, 13, "steps[drum].never[1]", "line 12",
        "not both"),
    "after an unknown step": ("after: [drum]", "after: [drun]", 20, 13, "steps[panes].after[1]",
        "no step 'drun'", "write 'drum'"),
    "after itself": ("after: [drum]", "after: [panes]", 20, 13, "steps[panes].after[1]", "itself",
        "take its id out"),
    "after the same twice": ("after: [drum]", "after: [drum, drum]", 20, 19,
        "steps[panes].after[2]", "second time", "take it out"),
    "after without brackets": ("after: [drum]", "after: drum", 20, 12, "steps[panes].after",
        "not a list", "[drum]"),
    "cycle through the file's order": ("    critical: true",
        "    critical: true\n    after: [call]", 16, 13, "steps[drum].after[1]",
        "'drum' follows 'call', 'call' follows 'drum' (above it, strict order)",
        "take one of these ids out"),
    "reason that is a number": ("reason: Only an armed door fills its slide.", "reason: 7", 16, 13,
        "steps[drum].reason", "a number", "in quotes"),
    "control character": ("Arm door", "Arm\x00door", 2, 11, "file", "U+0000", "delete it"),
    "text direction mark": ("Arm door", "Arm \u202edoor", 2, 12, "file", "U+202E", "delete it"),
    "nested too deep": ("title: Arm door 2 left", "title: " + "[" * 900, 2, 15, "file",
        "too deep", "levels"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_tells_one_fault(write: Write, good: str, name: str) -> None:
    """One fault in a file is told alone, with its line, column, field and mend."""
    old, new, line, column, field, fault, mend = FAULTS[name]
    assert old in good
    path = write(good.replace(old, new, 1))
    (problem,) = problems(path)
    assert (problem.path, problem.line, problem.column) == (path, line, column)
    assert problem.field == field
    assert fault in problem.fault
    assert mend in problem.mend
    assert "\n" not in str(problem)


SYNTAX = {
    "tab": ("  - id: drum", "\t- id: drum", 13, 1, "spaces instead of tabs"),
    "colon in a text": ("title: Arm", "title: Arm: now", 2, 11, "in quotes"),
    "quotes not closed in a list": ('pin"]', "pin]", 12, 11, "close the list"),
    "quotes not closed at the end": ("command: true", 'command: "true', 23, 14, "close the quotes"),
    "bracket not closed": ("[C4]", "[C4", 4, 12, "close the list"),
    "brace not closed": ("within: 90}", "within: 90", 8, 7, "close the braces"),
    "a line too far left": ("    say: Door", "   say: Door", 22, 4, "indent this line"),
    "a line too far right": ("    say: Door", "     say: Door", 22, 9, "indent this line"),
    "no colon": ("title: Arm", "title Arm", 2, 1, "'key: value'"),
    "a text that begins with @": ("title: Arm", "title: @Arm", 2, 8, "in quotes"),
    "a text that begins with a star": ("title: Arm", "title: * Arm", 2, 9, "in quotes"),
    "a text after quotes": ("say: Door two", 'say: "Door" two', 22, 17, "whole text in quotes"),
    "unknown escape": ("title: Arm door 2 left", 'title: "Arm \\q"', 2, 14, "backslash"),
    "impossible escape": ("title: Arm door 2 left", 'title: "\\UFFFFFFFF"', 2, 11, "plain"),
    "a list behind a key": ("title: Arm", "title: - Arm", 2, 8, "line of its own"),
}


@pytest.mark.parametrize("name", SYNTAX)
def test_tells_bad_yaml(write: Write, good: str, name: str) -> None:
    """What is not YAML is told once, where a person has to look, with the mend."""
    old, new, line, column, mend = SYNTAX[name]
    assert old in good
    (problem,) = problems(write(good.replace(old, new, 1)))
    assert (problem.line, problem.column, problem.field) == (line, column, "file")
    assert "not valid YAML" in problem.fault
    assert mend in problem.mend


@pytest.mark.parametrize("content", ["", "# only a comment\n", " \n\n", "\ufeff"])
def test_tells_an_empty_file(write: Write, content: str) -> None:
    """A file without content says how to begin one."""
    (problem,) = problems(write(content))
    assert (problem.line, problem.column) == (1, 1)
    assert "empty" in problem.fault
    assert "procedure: " in problem.mend


@pytest.mark.parametrize("content", ["hello", "- a\n- b\n", "12", "null"])
def test_tells_a_file_without_keys(write: Write, content: str) -> None:
    """A file that holds something else than keys says what to write."""
    (problem,) = problems(write(content))
    assert (problem.line, problem.column) == (1, 1)
    assert "no keys" in problem.fault
    assert "'procedure: '" in problem.mend


@pytest.mark.parametrize(
    ("steps", "place", "fault"),
    [
        ("steps: []\n", (9, 8), "there are no steps"),
        ("steps:\n", (9, 7), "there are no steps"),
        ("steps: {}\n", (9, 8), "not a list"),
        ("steps: drum\n", (9, 8), "not a list"),
        ("", (1, 1), "missing"),
    ],
)
def test_tells_a_procedure_without_steps(
    write: Write, good: str, steps: str, place: tuple[int, int], fault: str
) -> None:
    """An empty procedure is refused, with an example of a step or of the key."""
    (problem,) = problems(write(good[: good.index("steps:")] + steps))
    assert (problem.line, problem.column) == place
    assert problem.field == "steps"
    assert fault in problem.fault
    assert "id: ..." in problem.mend or "'steps: ...'" in problem.mend


def test_tells_all_faults_at_once(write: Write, good: str) -> None:
    """Every fault of a file is told in one go, in file order."""
    bad = (
        good.replace("title:", "tittle:")
        .replace("2026-10-01", "soon")
        .replace("share: 0.8", "share: 8")
        .replace("critical: true", "critical: yes")
        .replace("after: [drum]", "after: [drums]")
        .replace("say: Door two left armed and cross-checked", "say:")
    )
    told = [(problem.line, problem.field) for problem in problems(write(bad))]
    assert told == [
        (2, "tittle"),
        (6, "revision.effective"),
        (8, "pass.share"),
        (15, "steps[drum].critical"),
        (20, "steps[panes].after[1]"),
        (22, "steps[call].say"),
    ]


def test_names_a_cycle_once(write: Write, good: str) -> None:
    """A ring of `after` entries is told once, every step of it by name."""
    text = good.replace("order: strict", "order: free")
    text = text.replace("    critical: true", "    critical: true\n    after: [call]")
    text = text.replace("    command: true", "    command: true\n    after: [panes]")
    (problem,) = problems(write(text))
    assert (problem.line, problem.column, problem.field) == (25, 13, "steps[call].after[1]")
    assert "'drum' follows 'call'" in problem.fault
    assert "'call' follows 'panes'" in problem.fault
    assert "'panes' follows 'drum'" in problem.fault
    assert "take one of these ids out" in problem.mend


def test_names_two_cycles(write: Write, good: str) -> None:
    """Two separate rings are both told."""
    text = good.replace("order: strict", "order: free")
    text = text.replace("    also:", "    after: [call]\n    also:")
    text = text.replace("    critical: true", "    critical: true\n    after: [panes]")
    text = text.replace("    command: true", "    command: true\n    after: [flap]")
    told = problems(write(text))
    assert len(told) == 2
    assert all("wait for each other" in problem.fault for problem in told)


def test_refuses_an_alias_bomb(write: Write) -> None:
    """References that would multiply are told, each where it stands, and never followed."""
    rows = ["a: &a [x, x, x, x, x, x, x, x]"]
    rows += [
        f"{name}: &{name} [{', '.join([f'*{before}'] * 8)}]"
        for before, name in zip("abcdefghi", "bcdefghij", strict=True)
    ]
    told = problems(write("\n".join(rows)))
    references = [problem for problem in told if "reference" in problem.fault]
    assert len(references) == 72
    assert (references[0].line, references[0].column) == (2, 8)
    assert "write the text out in full" in references[0].mend


def test_refuses_too_many_entries(write: Write) -> None:
    """A file of a hundred thousand entries is given up on early."""
    (problem,) = problems(write("steps: [" + "a, " * 100_000 + "]"))
    assert problem.line == 1
    assert "too many entries" in problem.fault
    assert "one procedure a file" in problem.mend


def test_refuses_too_many_steps(write: Write, good: str) -> None:
    """A procedure of 201 steps is to be split."""
    head = good[: good.index("steps:")]
    rows = "".join(f"  - {{id: s{number}, say: step {number}}}\n" for number in range(201))
    (problem,) = problems(write(f"{head}steps:\n{rows}"))
    assert (problem.line, problem.column, problem.field) == (10, 3, "steps")
    assert "201 steps" in problem.fault
    assert "split" in problem.mend


def test_locates_values(write: Write, good: str) -> None:
    """The place of each value is known, and of a missing one the place of what it is part of."""
    located = locate(write(good))
    drum = located.place("steps[drum].say")
    assert (drum.line, drum.column) == (14, 10)
    never = located.place("steps[drum].never[1]")
    assert (never.line, never.column) == (17, 13)
    missing = located.place("steps[drum].after[2]")
    assert (missing.line, missing.column) == (13, 5)
    nowhere = located.place("nothing")
    assert (nowhere.line, nowhere.column) == (1, 1)
