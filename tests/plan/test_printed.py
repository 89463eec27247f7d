"""Equipment maps and position cards as PDF, and the commands that write them."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from rehearse.book import shelf
from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.cli import main
from rehearse.paper.typeset import Draft, typeset
from rehearse.paper.values import Paper
from rehearse.plan.equipment_map import equipment_map
from rehearse.plan.position_card import position_card
from rehearse.register.model import Register
from rehearse.register.reader import read_register
from rehearse.safety import NOTICE
from tests.register.conftest import SMALL

MADE = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
SIZES = {Paper.A4: (595, 842), Paper.LETTER: (612, 792)}
Typed = Callable[..., tuple[int, list[str], list[str]]]


def pages(draft: Draft, paper: Paper) -> list[str]:
    """The words of every page, which must be of this size and carry the notice and its number."""
    reader = PdfReader(io.BytesIO(typeset(draft, paper).pdf))
    found = [" ".join((page.extract_text() or "").split()) for page in reader.pages]
    for number, (page, text) in enumerate(zip(reader.pages, found, strict=True), 1):
        assert (round(page.mediabox.width), round(page.mediabox.height)) == SIZES[paper]
        assert NOTICE in text
        assert f"Page {number} of {len(found)}" in text
        assert "Register revision 1 of 2026-10-01" in text
        assert "Chain head" not in text
    return found


@pytest.mark.parametrize("paper", Paper)
def test_the_map_has_plan_and_table(shipped: Register, paper: Paper) -> None:
    """If this fails, the printed map lacks the plan, a station, its items or a total."""
    first, *rest = pages(equipment_map(shipped, paper, MADE), paper)
    table = " ".join(rest)
    assert len(rest) == 2
    for station in shipped.stations:
        assert station.name in table
        assert station.place in table
    assert all(door.id in first for door in shipped.doors)
    assert all(position.id in first for position in shipped.positions)
    for kind in shipped.kinds:
        if shipped.holding(kind.id):
            assert f"{kind.plural} {shipped.count(kind.id)} " in table
        else:
            assert f"{kind.plural} {kind.everywhere}" in table


def test_the_map_of_a_crowded_aircraft_has_a_plan_of_several_sheets(crowded: Register) -> None:
    """If this fails, a large aircraft cannot be printed, or letters vanish that no font draws."""
    draft = equipment_map(crowded, Paper.A4, MADE)
    found = pages(draft, Paper.A4)
    assert len(found) > len(draft.pictures) > 1
    assert "the second galley" in found[0]
    assert "U+BE44" in found[0] or "비상" in found[0]


@pytest.mark.parametrize("paper", Paper)
def test_the_card_is_one_page(shipped: Register, paper: Paper) -> None:
    """If this fails, a card runs over its page, or lacks duties, commands or procedures."""
    procedures = shelf.all_procedures([shelf.SHIPPED / shipped.aircraft])
    for position in (shipped.positions[0], shipped.positions[-1]):
        (text,) = pages(position_card(shipped, position, procedures, MADE), paper)
        assert f"Leaves by {shipped.door(position.leaves).name}" in text
        assert all(shipped.door(door).name in text for door in position.opens)
        assert position.area in text
        assert all(shipped.kind(one.kind).name in text for one in position.takes)
        mine = [one for one in procedures if position.id in one.positions]
        assert text.count(", rev. ") == len(mine) > 5
        for procedure in mine:
            revision = procedure.revision
            assert f"{revision.source}, rev. {revision.number}" in text
            assert all(step.say in text for step in procedure.steps if step.command)


def procedure(number: int, *commands: str, positions: tuple[str, ...] = ()) -> Procedure:
    """A procedure of the Tarn 120 with commands."""
    return Procedure(
        id=f"p{number}",
        title=f"Procedure number {number}",
        aircraft="tarn-120",
        positions=positions,
        language="en",
        revision=Revision(number, date(2026, 10, 1), f"CSM 1.{number}"),
        order="strict",
        pass_rule=PassRule(),
        steps=(Step("s", "Not shouted"), *(Step(c[:2], c, command=True) for c in commands)),
    )


@pytest.fixture(scope="module")
def tarn_120() -> Register:
    """The small one."""
    return read_register(shelf.SHIPPED / "tarn-120" / "aircraft.yaml")


def test_a_command_stands_once_with_its_procedures(tarn_120: Register) -> None:
    """If this fails, a card repeats a command, or shows another position's or aircraft's."""
    given = [
        procedure(1, "Go! Go!"),
        procedure(2, "Go! Go!", "Stop!", positions=("C1",)),
        procedure(3, "Sit!", positions=("C2",)),
        replace(procedure(4, "Jump!"), aircraft="tarn-240"),
    ]
    draft = position_card(tarn_120, tarn_120.position("C1"), given, MADE)
    assert draft.texts["commands"] == [
        {"say": "Go! Go!", "from": "procedures 1, 2"},
        {"say": "Stop!", "from": "procedure 2"},
    ]


def test_a_long_card_stays_whole(tarn_120: Register) -> None:
    """If this fails, what does not fit on a card's page is lost; it belongs on the next."""
    given = [procedure(n, f"{n} shout this!") for n in range(1, 150)]
    found = pages(position_card(tarn_120, tarn_120.position("C1"), given, MADE), Paper.A4)
    text = " ".join(found)
    assert len(found) > 1
    assert all(f"{n} shout this!" in text for n in range(1, 150))
    assert all(f"Procedure number {n} CSM 1.{n}" in text for n in range(1, 150))


@pytest.fixture
def typed(capsys: pytest.CaptureFixture[str]) -> Typed:
    """Types a command: exit status, lines printed, lines of the error stream."""

    def run(*words: str | Path) -> tuple[int, list[str], list[str]]:
        status = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return status, out.splitlines(), err.splitlines()

    return run


def test_an_operator_s_own_folder(
    tmp_path: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If this fails, an operator cannot draw and print its own aircraft, or loses a file."""
    own = tmp_path / "own"
    own.mkdir()
    (own / "aircraft.yaml").write_text(SMALL, "utf-8")
    small = read_register(own / "aircraft.yaml")
    name = small.aircraft
    (own / "bad.yaml").write_text("procedure: x\n", "utf-8")
    monkeypatch.setenv(shelf.VARIABLE, str(own))
    picture, card = tmp_path / "plan.svg", tmp_path / "card.pdf"
    assert typed("plan", "--aircraft", name, "-o", picture) == (
        0,
        [f"written to {picture}"],
        [],
    )
    assert f"{small.name}: cabin plan" in picture.read_text("utf-8")
    before = picture.read_bytes()
    status, _, err = typed("plan", "--aircraft", name, "-o", picture)
    assert (status, len(err)) == (2, 1)
    assert "there already" in err[0]
    assert picture.read_bytes() == before
    status, out, err = typed(
        "card", "--aircraft", name, "--position", "c1", "-o", card, "--paper", "letter"
    )
    assert (status, out) == (0, [f"written to {card}"])
    assert err
    assert all("bad.yaml" in line for line in err)
    (page,) = PdfReader(card).pages
    assert round(page.mediabox.width) == 612
    assert f"C1, {small.name}" in page.extract_text()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("plan", "--aircraft", "tarn-24", "-o", "new.svg"), "did you mean 'tarn-240'?"),
        (("plan", "--aircraft", "tarn-240", "-o", "new.png"), "end it in .svg or .pdf"),
        (("card", "--aircraft", "tarn-240", "--position", "C9", "-o", "new.pdf"), "one of C1, C2"),
        (("card", "--aircraft", "tarn-240", "--position", "C1", "-o", "new.svg"), "end it in .pdf"),
        (("plan", "--aircraft", "tarn-240", "-o", "none/new.svg"), "choose another folder"),
    ],
)
def test_bad_input_is_one_line(
    words: tuple[str, ...],
    told: str,
    tmp_path: Path,
    typed: Typed,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """If this fails, a slip of the pen gives a traceback, or a file nobody asked for."""
    monkeypatch.chdir(tmp_path)
    status, out, err = typed(*words)
    assert (status, out, len(err)) == (2, [], 1)
    assert told in err[0]
    assert list(tmp_path.iterdir()) == []
