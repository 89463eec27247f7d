"""A register file is read strictly; every fault names its line, field and mend."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.errors import BookError
from rehearse.register.model import Register, Taken
from rehearse.register.reader import read_register
from tests.register.conftest import SMALL

Write = Callable[[str], Path]


def test_values(small: Register) -> None:
    """If this fails, what a register file says does not arrive as it was written."""
    assert small.position("C1").takes == (Taken("megaphone", "locker"),)
    assert small.station("locker").count("torch") == 2
    assert small.count("torch") == 3
    assert small.count("torch", "aft") == 1
    assert [station.id for station in small.holding("torch", "forward")] == ["locker"]
    assert small.door("1L").at == (3.0, -1.5)
    assert not small.kind("torch").fixed


@pytest.mark.parametrize(
    ("written", "instead", "field", "words"),
    [
        ("plural: megaphones", "plurl: megaphones", "kinds[megaphone].plurl", "write 'plural'"),
        ("torch: 2}", "torhc: 2}", "stations[locker].items", "write torch"),
        ("torch: 2}", "torch: 0}", "stations[locker].items.torch", "from 1 to 99"),
        ("torch: 2}", "torch: two}", "stations[locker].items.torch", "not a whole number"),
        ("torch: 2}", "megaphone: 2}", "stations[locker].items.megaphone", "second time"),
        ("opens: [1L]", "opens: [1R]", "positions[C1].opens", "write one of 1L"),
        ("leaves: 1L", "leaves: 7L", "positions[C1].leaves", "there is no door '7L'"),
        ("{megaphone: locker}", "{megaphone: galley}", "positions[C1].takes", "holds no"),
        ("{megaphone: locker}", "{megaphone: lockr}", "positions[C1].takes", "write locker"),
        ("id: galley", "id: locker", "stations[locker].id", "is taken"),
        ("at: [4, -1]", "at: [14, -1]", "stations[locker].at", "not in the zone forward"),
        ("at: [4, -1]", "at: [4, 1]", "stations[locker].at", "not on the left"),
        ("at: [4, -1]", "at: [4, -2]", "stations[locker].at", "outside the cabin"),
        ("at: [4, -1]", "at: 4", "stations[locker].at", "not a place on the plan"),
        ("side: centre", "side: middle", "stations[galley].side", "left or right or centre"),
        ("zone: aft\n    side", "zone: aftt\n    side", "stations[galley].zone", "write aft"),
        ("also: [flashlight]", "also: [megaphone]", "kinds[torch]", "also a name of megaphone"),
        ("from: 10, to: 20", "from: 10, to: 9", "zones[aft].to", "ends before it begins"),
        ("zones:", "zones: *all\nspare:", "file", "not allowed"),
    ],
)
def test_faults(write: Write, written: str, instead: str, field: str, words: str) -> None:
    """If this fails, a slip in a register is accepted or its line does not help to mend it."""
    assert written in SMALL
    path = write(SMALL.replace(written, instead, 1))
    with pytest.raises(BookError) as caught:
        read_register(path)
    told = [problem for problem in caught.value.problems if problem.field == field]
    assert told, str(caught.value)
    assert words in str(told[0])
    line = SMALL[: SMALL.index(written)].count("\n") + 1
    assert abs(told[0].line - line) <= 3


def test_kind_that_is_nowhere(write: Write) -> None:
    """If this fails, equipment that no station holds would be asked for, with no answer."""
    more = "  - {id: axe, name: axe, plural: axes}\nstations:"
    with pytest.raises(BookError, match=r"kinds\[axe\]: no station holds any of it"):
        read_register(write(SMALL.replace("stations:", more, 1)))


def test_taken_twice(write: Write) -> None:
    """If this fails, two positions would both be told to take the only megaphone."""
    other = SMALL.replace("kinds:", SECOND + "kinds:", 1)
    with pytest.raises(BookError, match="holds only 1 of megaphone"):
        read_register(write(other))


SECOND = """\
  - id: C2
    name: C2
    seat: {zone: aft, at: [18, 1]}
    opens: []
    area: nothing more
    leaves: 1L
    takes: {megaphone: locker}
"""


def test_shipped(tarn_240: Register, tarn_120: Register) -> None:
    """If this fails, the shipped registers have faults, or too few stations to learn from."""
    assert len(tarn_240.stations) >= 25
    assert [position.id for position in tarn_240.positions] == [f"C{n}" for n in range(1, 8)]
    assert {door.id for door in tarn_120.doors} >= {"1L", "1R", "2L", "2R"}


def test_missing_file(tmp_path: Path) -> None:
    """If this fails, a register that is not there ends in a traceback."""
    with pytest.raises(BookError, match="there is no such file"):
        read_register(tmp_path / "aircraft.yaml")
