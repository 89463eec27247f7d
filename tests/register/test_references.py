"""References in procedure files are filled in from the register beside them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rehearse.book.model import Procedure
from rehearse.book.reader import read
from rehearse.errors import BookError
from rehearse.record.take import Take, TakeWriter
from tests.register.conftest import SMALL

Write = Callable[[str], Path]
Says = Callable[[str], Procedure]

PROCEDURE = """\
procedure: take-things
title: Take things
aircraft: reed-10
language: en
revision: {number: 1, effective: 2026-10-01, source: "CSM 2"}
topic: things
steps:
  - id: first
    say: "{say}"
    never: ["{never}"]
"""


@pytest.fixture
def says(write: Write) -> Callable[..., Procedure]:
    """Reads a procedure with this sentence, beside a register."""

    def made(say: str, never: str = "leave it", register: str | None = SMALL) -> Procedure:
        aircraft = write(register or "")
        if register is None:
            aircraft.unlink()
        path = aircraft.parent / "take-things.yaml"
        path.write_text(PROCEDURE.replace("{say}", say).replace("{never}", never), "utf-8")
        return read(path)

    return made


@pytest.mark.parametrize(
    ("written", "full"),
    [
        ("Take the torch {place of galley}", "Take the torch in the aft galley"),
        ("Take it {place of torch in aft}", "Take it in the aft galley"),
        (
            "{place of torch} are torches",
            "In the locker aft of door one left and in the aft galley are torches",
        ),
        ("Check all {count of torch} {plural of torch}", "Check all three torches"),
        ("There are {count of megaphone in aft}", "There are none"),
        ("Find {items of locker}", "Find one megaphone and two torches"),
        ("Take {takes of C1} to {exit of C1}", "Take the megaphone to door one left"),
        ("Open {doors of C1}", "Open door one left"),
        ("Check {area of C1}", "Check the whole cabin"),
        ("To arm, {answer of arming}", "To arm, lay the bar into the floor brackets"),
        ("Say {{literally}}", "Say {literally}"),
    ],
)
def test_filled_in(says: Says, written: str, full: str) -> None:
    """If this fails, a procedure says something else than the register does."""
    assert says(written).steps[0].say == full


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("Take {place of torhc}", "9:16: steps[first].say: the register has no kind or station"),
        ("Take {place of torhc}", "write torch"),
        ("Take {plcae of torch}", "write place"),
        ("Take {place of torch in aftt}", "write aft"),
        ("Take {place torch}", "is not a reference"),
        ("Take { it", "9:16: steps[first].say: '{' is not a reference"),
        ("Take {count of galley}", "no kind of equipment 'galley'"),
        ("Take {use of torch}", "says nothing for '{use of torch}'"),
        ("Take {items of galley in aft}", "cannot be asked of a zone"),
    ],
)
def test_unknown(says: Says, written: str, told: str) -> None:
    """If this fails, a slip in a reference is spoken to trainees instead of told to the author."""
    with pytest.raises(BookError) as caught:
        says(written)
    assert told in str(caught.value)


def test_also_in_never(says: Callable[..., Procedure]) -> None:
    """If this fails, a forbidden statement keeps its braces and can never be heard."""
    assert says("Take it", never="take {count of torch} torches").steps[0].never == (
        "take three torches",
    )


def test_no_register(says: Callable[..., Procedure]) -> None:
    """If this fails, a reference without a register ends in a traceback or is passed over."""
    with pytest.raises(BookError, match="there is no register beside this file"):
        says("Take {place of torch}", register=None)


def test_faulty_register(says: Callable[..., Procedure]) -> None:
    """If this fails, nobody learns that the register itself must be mended first."""
    with pytest.raises(BookError, match="the register has faults, the first in line 4"):
        says("Take {place of torch}", register=SMALL.replace("number: 1", "number: x"))


def test_take_keeps_the_text(says: Says, write: Write, tmp_path: Path) -> None:
    """If this fails, a kept take changes its words when the register is changed later."""
    procedure = says("Take the torch {place of galley}")
    started = datetime(2026, 10, 1, tzinfo=UTC)
    with TakeWriter.create(
        tmp_path / "takes", procedure, started=started, help_level="off", source="words"
    ) as writer:
        folder = writer.folder
    write(SMALL.replace("in the aft galley", "in the new aft galley"))
    assert Take.open(folder).procedure.steps[0].say == "Take the torch in the aft galley"
    assert procedure.path is not None
    assert read(procedure.path).steps[0].say == "Take the torch in the new aft galley"


def test_topic(says: Says) -> None:
    """If this fails, procedures of two aircraft cannot be compared."""
    assert says("Take it").topic == "things"
