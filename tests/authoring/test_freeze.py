from __future__ import annotations

from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.book.reader import read
from rehearse.book.seal import canonical, checksum
from rehearse.book.sealed import Seal, read_seals, seals_text
from rehearse.book.shelf import stock
from rehearse.errors import BookError
from tests.authoring.conftest import ARM, Type

OLD = ARM.read_text("utf-8")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A procedure in a folder of its own."""
    path = tmp_path / "arm.yaml"
    path.write_text(OLD, "utf-8")
    return path


def test_the_sum_is_over_what_is_asked(file: Path) -> None:
    """Comments, layout and defaults written out change nothing; any word or flag does."""
    first = checksum(read(file))
    moved = OLD.replace("order: strict\n", "").replace(
        "  - id: pin\n    say:", "  - critical: false\n    id: pin\n    say:"
    )
    file.write_text(f"# moved\n{moved}", "utf-8")
    assert checksum(read(file)) == first
    for before, after in (
        ("flap and pull", "flap, and pull"), ("critical: true", "critical: false"),
        ("share: 0.8", "share: 0.9"), ("number: 3", "number: 4"), ("[C4]", "[C5]"),
    ):  # fmt: skip
        file.write_text(OLD.replace(before, after, 1), "utf-8")
        assert checksum(read(file)) != first, after


def test_the_sum_stays() -> None:
    """Records name texts by this sum, so how it is made must never change."""
    steps = (Step("flap", "Open the flap", critical=True, never=("Öffne nichts",)),)
    revision = Revision(3, date(2026, 10, 1), "CSM 4.2.1")
    procedure = Procedure("p", "P", "t", ("C4",), "en", revision, "strict", PassRule(), steps)
    text = (
        '{"aircraft":"t","id":"p","language":"en","order":"strict","pass_rule":{},'
        '"positions":["C4"],"revision":{"effective":"2026-10-01","number":3,"source":"CSM 4.2.1"},'
        '"steps":[{"critical":true,"id":"flap","never":["Öffne nichts"],"say":"Open the flap"}],'
        '"title":"P"}'
    )
    assert canonical(procedure) == text
    assert checksum(procedure) == sha256(text.encode()).hexdigest()


texts = st.text("abcdef ,é", min_size=1, max_size=6)


@given(st.lists(st.tuples(texts, st.booleans(), st.lists(texts, max_size=2)), max_size=4))
def test_different_steps_have_different_sums(rows: list[tuple[str, bool, list[str]]]) -> None:
    """No two contents share a canonical text: what is moved from key to key is seen."""
    base = read(ARM)

    def made(key: str) -> Procedure:
        steps = tuple(
            Step("x", say, critical=flag, also=tuple(more) if key == "also" else (),
                 never=tuple(more) if key == "never" else ())
            for say, flag, more in rows
        )  # fmt: skip
        return replace(base, steps=steps)

    same = not any(more for _, _, more in rows)
    assert (canonical(made("also")) == canonical(made("never"))) == same


def test_freezing_and_changing(type_in: Type, file: Path) -> None:
    """A sealed text that changes is told by lint and refused by freeze until its number rises."""
    first = type_in("book", "freeze", file)
    assert first.status == 0
    assert f"arm-door-2l revision 3 sealed, SHA-256 {checksum(read(file))}" in first.out[0]
    seals = (file.parent / "sealed.yaml").read_text("utf-8")
    assert "was sealed on" in type_in("book", "freeze", file).out[0]
    file.write_text(OLD.replace("spring pin", "safety pin", 1), "utf-8")
    refused = type_in("book", "freeze", file)
    assert (refused.status, len(refused.err)) == (2, 1)
    assert "write 'number: 4', or put the sealed text back" in refused.err[0]
    assert (file.parent / "sealed.yaml").read_text("utf-8") == seals
    file.write_text(file.read_text("utf-8").replace("number: 3", "number: 4"), "utf-8")
    assert type_in("book", "freeze", file).status == 0
    both = read_seals(file.parent / "sealed.yaml")
    assert [(seal.procedure, seal.revision) for seal in both] == [
        ("arm-door-2l", 3), ("arm-door-2l", 4),
    ]  # fmt: skip
    file.write_text(OLD, "utf-8")
    assert "revision 4 was sealed already" in type_in("book", "freeze", file).err[0]


def test_all_or_none(type_in: Type, file: Path) -> None:
    """One file with a fault stops the sealing of all of them."""
    other = file.with_name("other.yaml")
    other.write_text("procedure: x\n", "utf-8")
    assert type_in("book", "freeze", file, other).status == 2
    assert not (file.parent / "sealed.yaml").exists()


def test_seals_are_no_procedures(file: Path, type_in: Type) -> None:
    """The file of seals lies among the procedures and is not taken for one."""
    type_in("book", "freeze", file)
    found = stock([file.parent])
    assert found.broken == ()
    assert [procedure.id for procedure in found.procedures] == ["arm-door-2l"]


FAULTY = {
    "sum": ("a: b", "sealed: [{procedure: a, revision: 1, sha256: abc, date: 2026-01-01}]"),
    "key": ("", "sealed: [{procedure: a, revision: 1, date: 2026-01-01}]"),
    "day": ("", f"sealed: [{{procedure: a, revision: 1, sha256: {'ab' * 32}, date: soon}}]"),
    "no list": ("", "sealed: x"),
    "nothing": ("", "a: b"),
}


@pytest.mark.parametrize("name", FAULTY)
def test_faulty_seals(file: Path, name: str) -> None:
    """Seals that were damaged by hand are told with line and mend, never taken as they are."""
    path = file.with_name("sealed.yaml")
    path.write_text(FAULTY[name][1], "utf-8")
    with pytest.raises(BookError, match=r"sealed\.yaml:1:"):
        read_seals(path)


def test_seals_read_back(file: Path) -> None:
    """What is written as seals is read as the same seals; two for one revision are refused."""
    day = read(ARM).revision.effective
    seals = [Seal("b", 1, "cd" * 32, day), Seal("a", 12, "ab" * 32, day)]
    path = file.with_name("sealed.yaml")
    path.write_text(seals_text(seals), "utf-8")
    assert read_seals(path) == tuple(sorted(seals))
    path.write_text(seals_text([*seals, Seal("b", 1, "ef" * 32, day)]), "utf-8")
    with pytest.raises(BookError, match="b revision 1 is sealed in line"):
        read_seals(path)
