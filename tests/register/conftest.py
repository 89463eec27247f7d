"""The shipped registers, and a small one of its own to spoil."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.book.shelf import SHIPPED
from rehearse.register.model import Register
from rehearse.register.reader import read_register

SMALL = """\
aircraft: reed-10
name: Reed 10
language: en
revision: {number: 1, effective: 2026-10-01, source: "CSM 1"}
plan: {length: 20, width: 3}
zones:
  - {id: forward, name: forward cabin, place: in the forward cabin, from: 0, to: 10}
  - {id: aft, name: aft cabin, place: in the aft cabin, from: 10, to: 20}
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
    takes: {megaphone: locker}
kinds:
  - {id: megaphone, name: megaphone, plural: megaphones, check: It clicks}
  - {id: torch, name: torch, plural: torches, also: [flashlight]}
stations:
  - id: locker
    name: station one left aft
    place: in the locker aft of door one left
    zone: forward
    side: left
    at: [4, -1]
    items: {megaphone: 1, torch: 2}
  - id: galley
    name: aft galley
    place: in the aft galley
    zone: aft
    side: centre
    at: [18, 0]
    items: {torch: 1}
facts:
  - {id: arming, ask: "How do you arm a door?", answer: Lay the bar into the floor brackets}
"""


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a register file; `SMALL` is one without faults."""

    def file(text: str) -> Path:
        path = tmp_path / "aircraft.yaml"
        path.write_text(text, "utf-8")
        return path

    return file


@pytest.fixture
def small(write: Callable[[str], Path]) -> Register:
    """A register small enough to know by heart."""
    return read_register(write(SMALL))


@pytest.fixture(scope="session")
def tarn_240() -> Register:
    """The shipped register of the Tarn 240."""
    return read_register(SHIPPED / "tarn-240" / "aircraft.yaml")


@pytest.fixture(scope="session")
def tarn_120() -> Register:
    """The shipped register of the Tarn 120."""
    return read_register(SHIPPED / "tarn-120" / "aircraft.yaml")
