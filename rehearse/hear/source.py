"""Where sound comes from: one protocol for the microphone and for recordings.

A source yields mono float32 chunks at `RATE`, of any length, back to back. Its clock counts the
samples it has delivered, so the times of a take are positions in that take's sound file. Trouble
of the device is data on the chunk (`lost`), never an exception, as long as sound still comes.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt
import soxr

from rehearse.hear.recogniser import RATE, Sound


@dataclass(frozen=True, eq=False)
class Chunk:
    """A stretch of sound.

    samples: mono float32 at `RATE`, nominally within -1..1.
    time: seconds from the start of the source to the first sample, by the sample clock.
    lost: estimated seconds of sound the device dropped just before this chunk, or None when it
        dropped nothing. The sample clock does not run on over what was lost.
    """

    samples: Sound
    time: float
    lost: float | None = None


class Source(Protocol):
    """Sound that can be listened to once.

    `chunks` opens the source and yields until it ends; closing the iterator (`contextlib.closing`)
    releases the device or file. Any failure is a `rehearse.errors.SoundError`.
    """

    @property
    def name(self) -> str:
        """What to call it in a message."""
        ...

    def chunks(self) -> Generator[Chunk, None, None]:
        """The sound, from its beginning."""
        ...


class Converter:
    """Blocks of any rate and width, in order, turned into mono sound at `RATE`."""

    def __init__(self, rate: float) -> None:
        same = rate == RATE
        self._stream = None if same else soxr.ResampleStream(rate, RATE, 1, dtype="float32")

    def convert(self, block: npt.NDArray[np.float32]) -> Sound:
        """The sound that is ready after `block`, shape (frames, channels)."""
        return self._resample(block.mean(axis=1, dtype=np.float32), last=False)

    def flush(self) -> Sound:
        """What the resampler still held; call once, at the end."""
        return self._resample(np.zeros(0, np.float32), last=True)

    def _resample(self, mono: Sound, last: bool) -> Sound:
        if self._stream is None:
            return mono
        ready: Sound = self._stream.resample_chunk(mono, last=last)
        return ready
