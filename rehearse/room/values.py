"""What is measured in a room: plain values, each figure with its error or the reason for none.

Levels are dB relative to full scale, of the microphone as it is set; none is a sound pressure.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from rehearse.measured import Measured


@dataclass(frozen=True)
class Hum:
    """What the mains put into the microphone. hertz: 50 or 60. level: of all its lines together."""

    hertz: int
    level: Measured


@dataclass(frozen=True)
class Silence:
    """The room while nobody speaks.

    noise: its level; void when the device mutes silence, and the noise of the room is not known.
    hum: the part of it that comes from the mains; None where there is none.
    spoken: seconds of it in which a voice was heard after all.
    """

    noise: Measured
    hum: Hum | None
    spoken: float


@dataclass(frozen=True)
class Speaking:
    """The trainee, calmly saying a sentence.

    level: active speech level, after ITU-T P.56. over_noise: that over the noise of the room, dB.
    clipped: share of the samples of the speech that are cut off, 0..1.
    peak: the largest sample, dB relative to full scale. spoken: seconds of voice.
    """

    level: Measured
    over_noise: Measured
    clipped: Measured
    peak: float
    spoken: float


@dataclass(frozen=True)
class Echo:
    """The tool's own voice in the microphone.

    heard: whether it was found there.
    gain: level in the microphone over the level of the samples that were played, dB.
    level: in the microphone. under_voice: by how many dB it is under the trainee's voice.
    delay: seconds from when the device was given it to when the microphone had it.
    at_most: dB; the gain is not higher than that, found or not. None where nothing was played.
    """

    heard: bool
    gain: Measured
    level: Measured
    under_voice: Measured
    delay: Measured
    at_most: float | None = None


@dataclass(frozen=True)
class Profile:
    """One measurement of a microphone and a loudspeaker, by the names the system has for them.

    loudspeaker: "" where there was none. measured: when, with its time zone.
    """

    microphone: str
    loudspeaker: str
    measured: datetime
    silence: Silence
    speaking: Speaking
    echo: Echo
