"""Profiles of rooms: kept by the names of microphone and loudspeaker, and minded in every take."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from rehearse.errors import RehearseError, SoundError
from rehearse.hear.microphone import Microphone
from rehearse.measured import Measured
from rehearse.room.advice import advice, hears_itself
from rehearse.room.telling import age
from rehearse.room.values import Echo, Hum, Profile, Silence, Speaking
from rehearse.session.own_rows import OwnRows, Row, own_file
from rehearse.session.practise import Tell
from rehearse.speak.player import Loudspeaker

Device = int | str | None


def names(microphone: Device, loudspeaker: Device) -> tuple[str, str]:
    """What the system calls the two devices; "" for a loudspeaker that is not there.

    Raises:
        SoundError: there is no such microphone.
    """
    try:
        heard_from = Loudspeaker(loudspeaker).hardware()
    except SoundError:
        heard_from = ""
    return Microphone(microphone).hardware(), heard_from


def keep(profile: Profile) -> None:
    """Keeps a profile in place of an earlier one of the same devices.

    Raises:
        StoreError: it cannot be written.
    """
    _file().put({**asdict(profile), "measured": profile.measured.isoformat(timespec="seconds")})


def kept(microphone: str, loudspeaker: str) -> Profile | None:
    """The profile of two devices; None when they were not measured.

    Raises:
        StoreError: the file of profiles cannot be read.
    """
    row = _file().find(microphone, loudspeaker)
    if row is None:
        return None
    try:
        return _profile(row)
    except (KeyError, TypeError, ValueError) as error:
        raise _file().damaged() from error


def may_hear_while_speaking(
    microphone: Device, loudspeaker: Device, wished: bool, tell: Tell
) -> bool:
    """Whether to hear while the tool speaks, as with a headset; as wished without a profile.

    Where the microphone hears the tool it may not: a step that the coach says would be taken for
    the trainee's.

    tell: told that it may not, and what spoils verdicts on these devices.
    """
    try:
        profile = kept(*names(microphone, loudspeaker))
    except SoundError:  # told when the microphone is opened
        return wished
    except RehearseError as error:
        tell(str(error))
        return wished
    if profile is None:
        return wished
    measured = f"measured {age(profile.measured, datetime.now(UTC))}"
    for sentence in (each.text for each in advice(profile) if each.grave):
        tell(f"{sentence} ({measured}; measure again with 'rehearse doctor --room')")
    if wished and hears_itself(profile):
        tell(
            f"--headset is left out: the microphone heard the tool's own voice ({measured}); wear "
            "headphones and run 'rehearse doctor --room' again"
        )
        return False
    return wished


def _file() -> OwnRows:
    what = "profiles of rooms; measure again with 'rehearse doctor --room'"
    return OwnRows(own_file("rooms.json"), ("microphone", "loudspeaker"), what)


def _profile(row: Row) -> Profile:
    measured = datetime.fromisoformat(row["measured"])
    if measured.tzinfo is None:
        raise ValueError("no time zone")
    silence, speaking, echo = row["silence"], row["speaking"], row["echo"]
    return Profile(
        str(row["microphone"]),
        str(row["loudspeaker"]),
        measured,
        Silence(_figure(silence["noise"]), _hum(silence["hum"]), float(silence["spoken"])),
        Speaking(
            _figure(speaking["level"]),
            _figure(speaking["over_noise"]),
            _figure(speaking["clipped"]),
            float(speaking["peak"]),
            float(speaking["spoken"]),
        ),
        Echo(
            echo["heard"] is True,
            _figure(echo["gain"]),
            _figure(echo["level"]),
            _figure(echo["under_voice"]),
            _figure(echo["delay"]),
            None if echo["at_most"] is None else float(echo["at_most"]),
        ),
    )


def _figure(row: Any) -> Measured:  # noqa: ANN401  (as JSON has it)
    value = None if row["value"] is None else float(row["value"])
    return Measured(value, float(row["error"]), str(row["void"]))


def _hum(row: Any) -> Hum | None:  # noqa: ANN401  (as JSON has it)
    return None if row is None else Hum(int(row["hertz"]), _figure(row["level"]))
