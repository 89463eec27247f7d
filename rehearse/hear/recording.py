"""A recording as a source: any sound file libsndfile reads, streamed in bounded memory.

A damaged file is refused, never half heard: a step spoken in the part that is gone would be
marked as left out.
"""

from __future__ import annotations

import re
from collections.abc import Generator, Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile

from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Chunk, Converter

_BLOCK_SECONDS = 0.5
# Files of unknown length end with an error of libsndfile that swallows the block it happens in.
_UNKNOWN_LENGTH_BLOCK = 256
_UNKNOWN_LENGTH = 2**62
# Louder than this (24 dB over full scale) is not sound in -1..1 but numbers in another unit.
_HIGHEST_PEAK = 16.0


class Recording:
    """One sound file. Opening it checks what can be told without reading it all.

    Raises:
        SoundError: missing, unreadable, not a sound file, empty or cut short; `chunks` raises it
            too, naming the second, where the sound breaks off or holds values that are no sound.
    """

    def __init__(self, path: Path | str) -> None:
        self.path = Path(path)
        self.name = str(path)
        with closing(self._open()) as file:
            self.rate: int = file.samplerate
            self.channels: int = file.channels
            known = file.frames < _UNKNOWN_LENGTH
            self.seconds: float | None = file.frames / file.samplerate if known else None
            if file.frames == 0:
                raise SoundError(f"{self.name}: the recording is empty; record it again")
            stated = _stated_seconds(file)
            if stated is not None:
                raise self._broken(file.frames / file.samplerate, stated)

    def chunks(self) -> Generator[Chunk, None, None]:
        """The whole recording as mono sound at `RATE`, about half a second at a time."""
        converter = Converter(self.rate)
        delivered = 0
        with closing(self._open()) as file:
            for block in self._blocks(file):
                samples = converter.convert(block)
                if samples.size:
                    yield Chunk(samples, delivered / RATE)
                    delivered += samples.size
        rest = converter.flush()
        if rest.size:
            yield Chunk(rest, delivered / RATE)

    def _blocks(self, file: soundfile.SoundFile) -> Iterator[npt.NDArray[np.float32]]:
        frames = max(1, int(_BLOCK_SECONDS * self.rate))
        if self.seconds is None:
            frames = _UNKNOWN_LENGTH_BLOCK
        done = 0
        while True:
            try:
                block = file.read(frames, dtype="float32", always_2d=True)
            except soundfile.LibsndfileError as error:
                if self.seconds is None and done:
                    return  # a writer that was cut off leaves no length; what it wrote is whole
                raise self._broken(done / self.rate, self.seconds) from error
            if not len(block):
                break
            self._check(block, done)
            done += len(block)
            yield block
        if self.seconds is not None and done < int(self.seconds * self.rate):
            raise self._broken(done / self.rate, self.seconds)

    def _check(self, block: npt.NDArray[np.float32], done: int) -> None:
        peak = np.abs(block).max(axis=1)
        if not np.isfinite(peak).all():
            at = (done + int(np.argmin(np.isfinite(peak)))) / self.rate
            raise SoundError(
                f"{self.name}: the sample at {at:.3f} s is not a number; export the recording again"
            )
        if peak.max() > _HIGHEST_PEAK:
            at = (done + int(peak.argmax())) / self.rate
            raise SoundError(
                f"{self.name}: the sample at {at:.3f} s is {peak.max():.0f} times full scale; "
                "export the recording with samples between -1 and 1"
            )

    def _open(self) -> soundfile.SoundFile:
        if not self.path.exists():
            raise SoundError(f"{self.name}: there is no such file; check the path")
        if self.path.is_dir():
            raise SoundError(f"{self.name}: this is a folder; name a sound file in it")
        try:
            with self.path.open("rb") as file:
                empty = not file.read(1)
        except OSError as error:
            raise SoundError(
                f"{self.name}: cannot be read ({error.strerror}); check its permissions"
            ) from error
        if empty:
            raise SoundError(f"{self.name}: the file is empty; record it again")
        try:
            return soundfile.SoundFile(self.path)
        except (soundfile.LibsndfileError, TypeError) as error:
            # TypeError: names that mean headerless sound (.raw), which has no rate to read.
            raise SoundError(
                f"{self.name}: not a sound file that can be read; convert it to WAV or FLAC"
            ) from error

    def _broken(self, at: float, length: float | None) -> SoundError:
        of = "" if length is None else f" of {length:.1f} s"
        return SoundError(
            f"{self.name}: the recording is damaged, its sound breaks off at {at:.1f} s{of}; "
            "copy or export it again"
        )


def _stated_seconds(file: soundfile.SoundFile) -> float | None:
    """The length the header states, when the file itself is shorter; None when all is there."""
    stated = re.search(r"^data : (\d+) \(should be \d+\)", file.extra_info, re.MULTILINE)
    if file.format in ("WAV", "WAVEX") and stated:
        size = int(stated[1])
        per_frame = re.search(r"Block Align +: (\d+)", file.extra_info)
        # A writer into a pipe states the largest size there is, or none: nothing is missing then.
        if per_frame and 0 < size < 0x7FFFFFFF:
            seconds = size / int(per_frame[1]) / file.samplerate
            return seconds if seconds > file.frames / file.samplerate else None
    return None
