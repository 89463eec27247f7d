"""Profiles as a measurement makes them, to be changed by a test."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from rehearse.measured import Measured
from rehearse.room.values import Echo, Hum, Profile, Silence, Speaking

MEASURED = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
NONE = Measured(None, 0.0, "it is not heard")


def profile(
    *,
    noise: float | None = -62.0,
    level: float | None = -32.0,
    clipped: float = 0.0,
    peak: float = -24.0,
    hum: Hum | None = None,
    echo: Echo | None = None,
) -> Profile:
    """A good one with a headset, but for what is given."""
    floor = Measured(noise, 0.2) if noise is not None else Measured(None, 0.0, "mutes silence")
    voice = Measured(level, 0.5)
    if level is None:
        voice = Measured(None, 0.0, "the voice is less than 5 dB over the room")
    over = Measured(None, 0.0, voice.void or floor.void)
    if noise is not None and level is not None:
        over = Measured(level - noise, 0.7)
    return Profile(
        "desk microphone",
        "ear pieces",
        MEASURED,
        Silence(floor, hum, 0.0),
        Speaking(voice, over, Measured(clipped, 0.4 * clipped), peak, 6.0),
        echo or unheard(),
    )


def unheard() -> Echo:
    """The tool's voice is not in the microphone."""
    return Echo(False, NONE, NONE, NONE, NONE, -42.0)


def heard(level: float | None, under: float = 10.0) -> Echo:
    """The tool's voice is in the microphone, at a level, so many dB under the trainee's."""
    if level is None:
        weak = Measured(None, 0.0, "it is too weak to measure")
        return Echo(True, weak, weak, weak, Measured(0.2, 0.01), -30.0)
    figures = Measured(level + 20.0, 0.6), Measured(level, 0.6), Measured(under, 1.1)
    return Echo(True, *figures, Measured(0.2, 0.01), level + 21.0)


def elsewhere(found: Profile, microphone: str, loudspeaker: str) -> Profile:
    """The same with other devices."""
    return replace(found, microphone=microphone, loudspeaker=loudspeaker)
