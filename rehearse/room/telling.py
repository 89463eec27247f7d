"""A profile in words: a table of its figures, and one line with its age. Pure."""

from __future__ import annotations

from datetime import datetime

from rehearse.drill.shown.facts import measured
from rehearse.measured import Measured
from rehearse.room.values import Profile

Rows = tuple[tuple[str, str], ...]

_LEVEL = " dB over full scale"


def rows(profile: Profile, latency: Measured) -> Rows:
    """Name and figure of everything that was measured, each with its error.

    latency: of the two devices, seconds.
    """
    silence, speaking, echo = profile.silence, profile.speaking, profile.echo
    return (
        ("room", measured(silence.noise, _LEVEL, 1)),
        ("hum", _hum(profile)),
        ("your voice", measured(speaking.level, _LEVEL, 1)),
        ("over the room", measured(speaking.over_noise, " dB", 1)),
        ("cut off", _cut_off(speaking.clipped)),
        ("tool's voice", _gain(profile)),
        ("under yours", measured(echo.under_voice, " dB", 1)),
        ("comes back", measured(echo.delay, " s after it was played", 3)),
        ("latency", measured(latency, " s", 3)),
    )


def line(profile: Profile, latency: Measured | None, now: datetime) -> str:
    """The profile in one line, with its age.

    latency: of the two devices, seconds, None where it is not known. now: with its time zone.
    """
    devices = f"'{profile.microphone}'"
    if profile.loudspeaker:
        devices += f" and '{profile.loudspeaker}'"
    late = Measured(None) if latency is None else latency
    return (
        f"{devices}, measured {age(profile.measured, now)}: "
        f"room {_short(profile.silence.noise, ' dB')}, "
        f"voice over it {_short(profile.speaking.over_noise, ' dB')}, "
        f"tool's voice under it {_short(profile.echo.under_voice, ' dB')}, "
        f"latency {_short(late, ' s', 2)}"
    )


def age(measured_at: datetime, now: datetime) -> str:
    """How long ago, in days; both with their time zones. A clock set back counts as today."""
    days = max(0, (now - measured_at).days)
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")


def _hum(profile: Profile) -> str:
    hum = profile.silence.hum
    if hum is None:
        return "none stands out" if profile.silence.noise.value is not None else "not measured"
    return f"{measured(hum.level, _LEVEL, 1)}, {hum.hertz} Hz"


def _cut_off(share: Measured) -> str:
    if not share.value:
        return "nothing"
    percent = Measured(100 * share.value, 100 * share.error)
    return f"{measured(percent, ' %', 2)} of the voice"


def _gain(profile: Profile) -> str:
    echo = profile.echo
    if not echo.heard and echo.at_most is not None:
        return f"not heard: {echo.at_most:.0f} dB at most, over what is played"
    return measured(echo.gain, " dB over what is played", 1)


def _short(one: Measured, unit: str, digits: int = 0) -> str:
    return "unknown" if one.value is None else measured(one, unit, digits)
