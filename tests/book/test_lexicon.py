from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.book import shelf
from rehearse.book.lexicon import read_lexicon
from rehearse.book.reader import read
from rehearse.book.shelf import SHIPPED
from rehearse.cli import main
from rehearse.errors import BookError, ShelfError

Write = Callable[..., Path]

LEXICON = """\
language: en
synonyms:
  - [mode drum, selector]
contrasts:
  - name: latching
    values: [home, proud]
    forms: [[home, proud], [flush, raised]]
    also: {proud: [sticking out]}
    near: [pin]
    named: true
  - name: arming
    also: {armed: [in automatic]}
designators: {D2L: 2L, purser: C1}
units: [[psi, pounds per square inch]]
abbreviations: {PBE: smoke hood}
"""


def faults(path: Path) -> list[str]:
    """The faults of a lexicon that must not be readable, as lines without the path."""
    with pytest.raises(BookError) as caught:
        read_lexicon(path)
    return [str(problem).removeprefix(f"{path}:") for problem in caught.value.problems]


def test_every_part_is_read(write: Write, good: str) -> None:
    """The lexicon beside a procedure comes with the procedure, part by part."""
    write(LEXICON, "lexicon.yaml")
    words = read(write(good)).lexicon
    assert words.synonyms == (("mode drum", "selector"),)
    assert words.designators == (("D2L", "2L"), ("purser", "C1"))
    assert words.units == (("psi", "pounds per square inch"),)
    assert words.abbreviations == (("PBE", "smoke hood"),)
    own, added = words.contrasts
    assert own.rows == ((("home",), ("proud",)), (("flush",), ("raised",)))
    assert own.also == {"proud": (("sticking", "out"),)}
    assert (own.near, own.named) == (frozenset({"pin"}), True)
    assert (added.name, added.also) == ("arming", {"armed": (("in", "automatic"),)})


def test_without_a_lexicon_nothing_is_added(write: Write, good: str) -> None:
    """A procedure alone in its folder has the words of its language."""
    procedure = read(write(good))
    assert procedure.words == procedure.lexicon == type(procedure.lexicon)()


FAULTS = [
    ("synonym: []", "2:1: synonym: the key is unknown; write 'synonyms'"),
    ("synonyms: [[pane]]", "2:12: synonyms[1]: a set of fewer than two says nothing"),
    ("synonyms: [[pane, Pane]]", "synonyms[1][2]: 'Pane' stands here a second time; take it out"),
    ("synonyms: [[pane, on]]", "synonyms[1][2]: 'on' is read as true or false, not as text"),
    ("synonyms: [[pane, the]]", "synonyms[1][2]: 'the' has a meaning of its own in every"),
    ("synonyms: [[pane, twelve]]", "synonyms[1][2]: 'twelve' has a meaning of its own"),
    ("synonyms: [[armed, disarmed]]", "synonyms[1]: it holds opposites (armed and disarmed)"),
    ("synonyms: [[a b, c d], [x y, c d]]", "synonyms[2][2]: 'c d' is given a meaning already in"),
    ("designators: {main: door}", "designators.main: 'door' is neither a door nor a crew position"),
    ("designators: [D2L]", "designators: there are no keys here; write 'what is said: what"),
    ("abbreviations: {PBE: ''}", "abbreviations.PBE: it is empty"),
    ("abbreviations: {PBE: hood, PBE: mask}", "abbreviations.PBE: the key stands here a second"),
    ("contrasts: [{name: latching}]", "contrasts[1]: a set of your own needs at least two values"),
    ("contrasts: [{name: armin, also: {armed: [x]}}]", "or write 'arming' to add to that set"),
    ("contrasts: [{name: arming, values: [a, b]}]", "contrasts[1].values: the set 'arming' has"),
    ("contrasts: [{name: x, values: [a, b], forms: [[a]]}]", "forms[1]: the form has 1"),
    ("contrasts: [{name: arming, also: {armd: [x]}}]", "no value of the set; write 'armed'"),
    ("contrasts: [{name: arming, also: {armed: [disarmed]}}]", "is said for both"),
    ("contrasts: [{name: x, values: [sea, see], forms: [[sea, see]]}]", "sound the same"),
    ("contrasts: [{name: x, values: [a, b], forms: [[a, b]], named: yes}]", "write true"),
    ("units: [psi]", "units[1]: 'psi' is not a list; put it in brackets"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "told"), FAULTS)
def test_a_fault_is_told_with_its_mend(write: Write, line: str, told: str) -> None:
    """Line, field and mend of every fault, and no procedure of the folder is used meanwhile."""
    path = write(f"language: en\n{line}\n", "lexicon.yaml")
    assert any(told in fault for fault in faults(path)), faults(path)
    assert all(fault[0].isdigit() and "; " in fault for fault in faults(path))


def test_an_empty_or_foreign_file_is_told(write: Write) -> None:
    """Neither nothing, nor a list, nor a missing language gives a traceback."""
    assert "the file is empty" in faults(write("", "lexicon.yaml"))[0]
    assert "there are no keys here" in faults(write("- a\n", "lexicon.yaml"))[0]
    assert "language: the key is missing" in faults(write("units: []\n", "lexicon.yaml"))[0]
    assert "is not known" in faults(write("language: xx\n", "lexicon.yaml"))[0]


def test_a_faulty_lexicon_stops_its_folder_and_is_told_once(
    write: Write, good: str, tmp_path: Path
) -> None:
    """Judging without an operator's contrasts would credit what it forbids."""
    write(good, "one.yaml")
    write(good.replace("arm-door-2l", "arm-door-2r"), "two.yaml")
    write("language: en\nsynonyms: x\n", "lexicon.yaml")
    found = shelf.stock([tmp_path])
    assert found.procedures == ()
    assert len(found.broken) == 1
    with pytest.raises(BookError, match=r"lexicon\.yaml:2"):
        shelf.find("one", [tmp_path])
    with pytest.raises(ShelfError, match="no procedure 'three'"):
        shelf.find("three", [tmp_path])


def test_it_is_no_procedure_itself(write: Write, good: str, tmp_path: Path) -> None:
    """A shelf passes the lexicon over."""
    write(good)
    write(LEXICON, "lexicon.yaml")
    found = shelf.stock([tmp_path])
    assert ([p.id for p in found.procedures], found.broken) == (["arm-door-2l"], ())


def test_lint_checks_it(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    """The command that checks procedures checks a lexicon."""
    path = write(LEXICON, "lexicon.yaml")
    assert main(["book", "lint", str(path)]) == 0
    assert "nothing to mend" in capsys.readouterr().out
    path.write_text("language: en\nunits: 7\n")
    assert main(["book", "lint", str(path)]) == 2
    assert "units: '7' is not a list" in capsys.readouterr().err


def test_the_shipped_lexicon_serves_its_procedures() -> None:
    """The book's own example is valid and comes with every procedure of its folder."""
    procedures = shelf.all_procedures([SHIPPED / "tarn-240"])
    assert procedures
    assert all(p.lexicon.synonyms and p.lexicon.designators for p in procedures)
