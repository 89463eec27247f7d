"""The shipped registers, and one with far more stations and longer names than those."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rehearse.book.shelf import SHIPPED
from rehearse.register.model import Item, Register, Station
from rehearse.register.reader import read_register


@pytest.fixture(scope="session", params=["tarn-240", "tarn-120"])
def shipped(request: pytest.FixtureRequest) -> Register:
    """Either shipped register."""
    return read_register(SHIPPED / str(request.param) / "aircraft.yaml")


@pytest.fixture(scope="session")
def crowded() -> Register:
    """A hundred stations in threes at one place, some with names in other scripts and markup."""
    register = read_register(SHIPPED / "tarn-240" / "aircraft.yaml")
    names = ("locker aft of the second galley on the upper side", "비상 장비함", "<b>&</b> box")
    stations = tuple(
        Station(
            f"s{number}",
            f"{names[number % 3]} {number}",
            "in a locker",
            "mid",
            "centre",
            (18 + number // 3 * 0.6, (number % 5 - 2) * 0.8),
            (Item("torch", 2), Item("oxygen-bottle", 12)),
        )
        for number in range(100)
    )
    seats = tuple(replace(position, takes=()) for position in register.positions)
    return replace(register, stations=stations, positions=seats)
