"""A speaker's calm level and pitch on their device, from half a minute of calm reading."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rehearse.hear.clipping import clipped
from rehearse.hear.energy import frame_power
from rehearse.hear.level import active_level
from rehearse.hear.pitch import pitch
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import WINDOW, VoiceActivity, voiced
from rehearse.measured import Measured

READING_SECONDS = 30.0
_SPOKEN = 12.0  # seconds of voice that make a level; readers pause for a third of the time
_CLIPS = 0.0002  # share of samples at full scale; fewer are single peaks that just fit
_SILENCE = -75.0  # dB over full scale: a microphone that is switched off, or far too low
_ROOM = 15.0  # dB by which a voice must stand over the room, or its pauses cannot be told
_PARTS = 3  # of the reading, which must agree
_EVEN = 6.0  # dB by which the parts may differ: more is another distance or another voice
_ERROR = 0.5  # dB of the method; see docs/measurements.md
_QUIET = 35  # percentile of the quieter half of the frames that is the room
_NOTHING = -120.0  # dB: stands for no sound at all


@dataclass(frozen=True)
class Calm:
    """A calm reading as it was measured.

    level: active level, dB over full scale. pitch: its median, hertz. Both are void, with the
        reason and the mend, when the reading is refused.
    noise: level of the room, dB over full scale.
    spoken: seconds of voice. clipped: share of samples at full scale, 0..1.
    """

    level: Measured
    pitch: Measured
    noise: float
    spoken: float
    clipped: float


def calm(sound: Sound, voice: VoiceActivity) -> Calm:
    """What a calm reading says about the speaker; its level is void when it cannot be used.

    voice: tells speech from other sound; its memory is cleared first.
    """
    with_voice = voiced(sound, voice)
    spoken = float(with_voice.sum()) * WINDOW / RATE
    room = _room(sound, with_voice)
    share = clipped(sound)
    noise = _decibels(room)
    level = active_level(sound, room)
    parts = [active_level(part, room) for part in np.array_split(sound, _PARTS)]
    loud = [part for part in parts if part is not None]
    apart = max(loud) - min(loud) if len(loud) == _PARTS else math.inf
    reason = (
        _silent(sound)
        or _clips(share)
        or _too_little(spoken)
        or _too_loud(level, noise)
        or _uneven(apart)
    )
    if reason:
        refused = Measured(None, 0.0, reason)
        return Calm(refused, refused, noise, spoken, share)
    return Calm(Measured(level, _ERROR + apart / 2), pitch(sound), noise, spoken, share)


# Why a reading cannot be used and what to do about it; "" when it can.


def _silent(sound: Sound) -> str:
    if sound.size and _decibels(float(np.mean(np.square(sound, dtype=np.float64)))) >= _SILENCE:
        return ""
    return "the microphone delivers no sound; switch it on or raise its input level"


def _clips(share: float) -> str:
    if share <= _CLIPS:
        return ""
    return "the microphone clips; lower its input level or move away from it"


def _too_little(spoken: float) -> str:
    if spoken >= _SPOKEN:
        return ""
    return f"only {spoken:.0f} s of voice were heard; read on until the time is over"


def _too_loud(level: float | None, noise: float) -> str:
    over = 0.0 if level is None else max(0.0, level - noise)
    if over >= _ROOM:
        return ""
    return (
        f"the room is too loud, the voice is only {over:.0f} dB over it; go where it is quieter "
        "or move the microphone nearer"
    )


def _uneven(apart: float) -> str:
    if apart <= _EVEN:
        return ""
    by = f" by {apart:.0f} dB" if math.isfinite(apart) else ""
    return (
        f"the voice changed{by} while reading; keep your distance from the microphone and read "
        "evenly"
    )


def _room(sound: Sound, with_voice: npt.NDArray[np.bool_]) -> float:
    """Mean power of the room: of the quieter frames, those without a voice where there are any."""
    power = frame_power(sound)
    if not power.size:
        return 0.0
    windows = len(with_voice)
    at = np.minimum(np.arange(len(power)) * (windows or 1) // len(power), windows - 1)
    still = power[~with_voice[at]] if windows else power
    quiet = still if len(still) > len(power) // 20 else power
    return float(np.percentile(quiet, _QUIET))


def _decibels(power: float) -> float:
    return max(_NOTHING, 10 * float(np.log10(max(power, 1e-30))))
