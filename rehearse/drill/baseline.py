"""A speaker's calm level and pitch on their device, from half a minute of calm reading."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.hear.clipping import clipped
from rehearse.hear.level import active_level
from rehearse.hear.pitch import pitch
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import WINDOW, VoiceActivity
from rehearse.measured import Measured

READING_SECONDS = 30.0
_SPOKEN = 10.0  # seconds of voice that make a level
_CLIPS = 0.0001


@dataclass(frozen=True)
class Calm:
    """A calm reading as it was measured.

    level: active level, dB over full scale; void, with the reason, when it was refused.
    pitch: its median, hertz. noise: level of the room, dB over full scale.
    spoken: seconds of voice. clipped: share of samples at full scale, 0..1.
    """

    level: Measured
    pitch: Measured
    noise: float
    spoken: float
    clipped: float


def calm(sound: Sound, voice: VoiceActivity) -> Calm:
    """What a calm reading says about the speaker; its level is void when it cannot be used."""
    voiced = [
        voice.probability(sound[at : at + WINDOW]) >= 0.5
        for at in range(0, sound.size - WINDOW + 1, WINDOW)
    ]
    spoken = sum(voiced) * WINDOW / RATE
    level = active_level(sound)
    share = clipped(sound)
    if level is None:
        measured = Measured(None, 0.0, "nothing was heard; check the microphone")
    elif spoken < _SPOKEN:
        measured = Measured(None, 0.0, f"only {spoken:.0f} s were spoken; read the text to its end")
    elif share > _CLIPS:
        measured = Measured(None, 0.0, "the microphone clips; lower its gain or move away from it")
    else:
        measured = Measured(level, 0.5)
    return Calm(measured, pitch(sound), -100.0, spoken, share)
