"""A spoken text as sound: read, trimmed, and checked to be speech of a plausible length."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from rehearse.coach.debrief import speaking_seconds
from rehearse.errors import VoiceError

Sound = npt.NDArray[np.float32]

_SILENCE = 0.003  # of full scale: 50 dB below
_MARGIN = 0.03  # seconds kept around the speech, so that no consonant is cut
_LEAST_LEVEL = 0.005  # root mean square of full scale; espeak-ng speaks at 0.1
# Real lengths lie between 0.45 and 1.1 of the estimate (tests/speak/test_length.py); a sound that
# was cut off, or that belongs to another text, lies far outside.
_SHORTEST, _LONGEST = 0.3, 2.0
_SPARE = 0.6  # seconds that even a single word may be longer


@dataclass(frozen=True, eq=False)
class Rendered:
    """Speech. samples: mono float32, -1..1, shape (n,). rate: samples a second."""

    samples: Sound
    rate: int

    @property
    def seconds(self) -> float:
        """How long it takes to play."""
        return len(self.samples) / self.rate


def read(file: Path) -> Rendered:
    """The sound in a file, as one channel.

    Raises:
        VoiceError: it is missing or no sound.
    """
    import soundfile

    try:
        samples, rate = soundfile.read(file, dtype="float32", always_2d=True)
    except (OSError, soundfile.SoundFileError) as error:
        raise VoiceError("the speech engine wrote no sound; run 'rehearse doctor'") from error
    return Rendered(np.ascontiguousarray(samples.mean(axis=1)), int(rate))


def trimmed(sound: Rendered) -> Rendered:
    """Without the silence before and after the speech: a prompt ends when its last word does."""
    loud = np.flatnonzero(np.abs(sound.samples) > _SILENCE)
    if not loud.size:
        return sound
    margin = int(_MARGIN * sound.rate)
    first = max(0, int(loud[0]) - margin)
    return Rendered(sound.samples[first : int(loud[-1]) + 1 + margin], sound.rate)


def verified(sound: Rendered, text: str, words_per_minute: int) -> Rendered:
    """The same sound, if it can be this text spoken at this rate.

    Raises:
        VoiceError: it is silent, not finite, or far too short or too long.
    """
    finite = bool(np.isfinite(sound.samples).all())
    level = float(np.sqrt(np.mean(np.square(sound.samples)))) if sound.samples.size else 0.0
    expected = speaking_seconds(text, words_per_minute)
    plausible = _SHORTEST * expected <= sound.seconds <= _LONGEST * expected + _SPARE
    if finite and level >= _LEAST_LEVEL and plausible:
        return sound
    raise VoiceError(
        f"the speech engine gave {sound.seconds:.1f} s of sound for a text of about "
        f"{expected:.1f} s; run 'rehearse doctor'"
    )
