"""The book of the Tarn 240: every topic has its procedures, and facts come from the register."""

from __future__ import annotations

import pytest

from rehearse.book.model import Procedure
from rehearse.book.shelf import SHIPPED, stock
from rehearse.register.answers import ANSWERS
from rehearse.register.model import Register
from rehearse.register.reader import read_register

FOLDER = SHIPPED / "tarn-240"
DOORS = ("1l", "1r", "2l", "2r", "3l", "3r")
TOPICS = {
    "doors": {
        "door-status-check", "check-door-before-boarding", "cross-check-doors", "open-door-normal",
        "open-door-outside", "close-door-normal", "outside-assessment", "raft-check",
    },
    "equipment": {
        "equipment-check", "equipment-forward", "equipment-mid", "equipment-aft",
        "equipment-flight-deck", "extinguisher-use", "smoke-hood",
    },
    "oxygen": {"crew-oxygen", "passenger-oxygen", "portable-oxygen", "masks-failed"},
    "signals": {
        "interphone-normal", "interphone-emergency", "evacuation-signal", "emergency-lights",
    },
    "exits in an emergency": {
        "open-door-emergency", "open-without-slide", "slide-not-inflated", "slide-as-apron",
        "slide-as-raft", "exit-unusable", "flight-deck-window", "flight-deck-access",
        "evacuation-commands", "brace-commands", "prepared-emergency-landing",
    },
    "ditching": {
        "ditching-preparation", "ditching-doors", "ditching-launch", "ditching-door-3r",
        "raft-survival",
    },
    "fire and smoke": {
        "galley-fire", "lavatory-fire", "overhead-locker-fire", "hidden-fire", "battery-fire",
        "cabin-smoke",
    },
    "other emergencies": {
        "decompression", "turbulence", "pilot-incapacitation", "crew-incapacitation",
        "suspicious-object", "disruptive-passenger",
    },
    "every flight": {
        "preflight-duties", "sterile-flight-deck", "silent-review-takeoff",
        "silent-review-landing",
    },
}  # fmt: skip
# An equipment procedure, and what it must tell of a kind of equipment in its zone.
TOLD = [
    ("equipment-forward", "place", "megaphone"),
    ("equipment-mid", "place", "gas-extinguisher"),
    ("equipment-aft", "place", "beacon"),
    ("equipment-aft", "count", "smoke-hood"),
    ("equipment-flight-deck", "place", "crash-axe"),
]


@pytest.fixture(scope="module")
def book() -> dict[str, Procedure]:
    """The procedures of the aircraft by id."""
    return {each.id: each for each in stock([FOLDER]).procedures}


@pytest.fixture(scope="module")
def register() -> Register:
    """The aircraft's doors, positions and equipment."""
    return read_register(FOLDER / "aircraft.yaml")


@pytest.mark.parametrize("topic", TOPICS)
def test_every_topic_is_covered(topic: str, book: dict[str, Procedure]) -> None:
    """Crew find no procedure for something they are examined on."""
    assert TOPICS[topic] - book.keys() == set()


@pytest.mark.parametrize("way", ["arm", "disarm"])
@pytest.mark.parametrize("door", DOORS)
def test_every_door_is_armed_and_disarmed(
    way: str, door: str, book: dict[str, Procedure], register: Register
) -> None:
    """A door lacks its drill, or the drill belongs to another position or names another door."""
    procedure = book[f"{way}-door-{door}"]
    name = register.door(door.upper()).name
    assert procedure.positions == tuple(
        position.id for position in register.positions if door.upper() in position.opens
    )
    assert procedure.step("call").say.lower() == f"{name} {way}ed and cross-checked"


def test_every_position_has_its_evacuation(book: dict[str, Procedure], register: Register) -> None:
    """A crew position does not learn its own exit or what it takes along."""
    for position in register.positions:
        procedure = book[f"land-evacuation-{position.id.lower()}"]
        assert procedure.positions == (position.id,)
        assert register.door(position.leaves).name in procedure.step("leave").say
        for item in position.takes:
            assert register.kind(item.kind).name in procedure.step("take").say


@pytest.mark.parametrize(("name", "what", "kind"), TOLD)
def test_places_are_those_of_the_register(
    name: str, what: str, kind: str, book: dict[str, Procedure], register: Register
) -> None:
    """An equipment drill teaches a place or a number that the cabin plan does not show."""
    answer = ANSWERS[what].text(register, kind, name.removeprefix("equipment-"))
    assert answer
    assert any(answer in step.say for step in book[name].steps)
