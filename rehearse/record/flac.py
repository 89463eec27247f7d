"""A FLAC file of speech that can be read at any moment, even after the writer was killed.

The encoder writes a frame as soon as it is full, but tells the header how many samples there are
only when the file is closed, and most readers refuse a file whose header does not know. So the
header's count is kept true while writing: after every block it says how many samples the complete
frames hold (RFC 9639, section 8.2). A killed writer loses the frame in progress, about a quarter
of a second.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile

from rehearse.errors import StoreError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.record.place import cannot_write, create_private

_BLOCK_SIZE = slice(8, 12)  # smallest and largest frame in samples, 16 bits each
_COUNT_AT = 21  # the byte whose lower half begins the 36 bits of the sample count
_COUNT_BITS = 36
_HEADER_BYTES = 42  # "fLaC", one block header and STREAMINFO
_SYNC_SECONDS = 1.0  # sound that a power cut may lose
_READ_SECONDS = 0.25  # a damaged tail costs at most this much of the sound before it


class FlacWriter:
    """One mono 16-bit FLAC file at `RATE`, for the owner only, readable at any moment.

    Raises:
        StoreError: the file exists, the folder is not writable, or the disk is full; what was
            written before stays readable.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._file = create_private(path)
        try:
            # A second descriptor: the library closes its own, we go on correcting the header.
            own = os.dup(self._file)
            self._encoder = soundfile.SoundFile(own, "w", RATE, 1, "PCM_16", format="FLAC")
        except (OSError, soundfile.LibsndfileError) as error:
            os.close(self._file)
            raise cannot_write(path, error) from error
        self._samples = 0
        self._kept = 0
        self._synced = 0
        self._open = True
        self._failed = False

    @property
    def seconds(self) -> float:
        """How much sound was given to the file."""
        return self._samples / RATE

    def write(self, samples: Sound) -> None:
        """Append mono float32 samples, -1..1; what is louder is clipped, what is no number is 0.

        Raises:
            StoreError: the sound could not be written, now or before.
        """
        whole = np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)
        levels = np.clip(np.rint(whole * 32767.0), -32768, 32767).astype(np.int16)
        if self._failed or not self._open:
            raise StoreError(f"{self._path}: no more sound can be written to this file")
        try:
            self._encoder.write(levels)
            self._samples += len(levels)
            self._keep_count(self._in_complete_frames())
            if self._samples - self._synced >= _SYNC_SECONDS * RATE:
                os.fsync(self._file)
                self._synced = self._samples
        except (OSError, AssertionError, soundfile.LibsndfileError) as error:
            # The library reports a short write by a failed assertion.
            self._failed = True
            raise cannot_write(self._path, error) from error

    def close(self) -> None:
        """Finish the file. Doing it twice does no harm.

        Raises:
            StoreError: the end of the sound could not be written.
        """
        if not self._open:
            return
        self._open = False
        try:
            self._finish()
        finally:
            os.close(self._file)

    def _finish(self) -> None:
        trouble: BaseException | None = None
        try:
            self._encoder.close()
            os.fsync(self._file)
        except (OSError, soundfile.LibsndfileError) as error:
            trouble = error
        # A last frame that found no room is told by nothing but the header's count.
        if trouble is None and not self._failed and self._count() == self._samples:
            return
        with contextlib.suppress(OSError):
            self._keep_count(self._kept, always=True)
        if not self._failed:
            raise cannot_write(self._path, trouble or OSError("short write")) from trouble

    def _count(self) -> int:
        return _count_in(os.pread(self._file, _HEADER_BYTES, 0))

    def _in_complete_frames(self) -> int:
        """How many of the samples are certainly on file; the encoder looks one sample ahead."""
        frame = int.from_bytes(os.pread(self._file, _HEADER_BYTES, 0)[_BLOCK_SIZE][:2], "big")
        return max(self._samples - 1, 0) // frame * frame if frame else 0

    def _keep_count(self, count: int, *, always: bool = False) -> None:
        if count == self._kept and not always:
            return
        field = os.pread(self._file, 5, _COUNT_AT)
        upper = int.from_bytes(field, "big") >> _COUNT_BITS << _COUNT_BITS
        os.pwrite(self._file, (upper | count).to_bytes(5, "big"), _COUNT_AT)
        self._kept = count


def sample_count(path: Path) -> int:
    """How many samples the file's header promises; 0 for one that was only begun.

    Raises:
        StoreError: the file is missing, unreadable or no FLAC file.
    """
    try:
        with path.open("rb") as file:
            header = file.read(_HEADER_BYTES)
    except OSError as error:
        raise StoreError(f"{path}: the sound cannot be read ({error.strerror})") from error
    if not b"fLaC".startswith(header[:4]):
        raise StoreError(f"{path}: this is not a FLAC file; restore it from a copy")
    if len(header) < _HEADER_BYTES:
        return 0
    return _count_in(header)


def _count_in(header: bytes) -> int:
    return int.from_bytes(header[_COUNT_AT : _COUNT_AT + 5], "big") & ((1 << _COUNT_BITS) - 1)


def read(path: Path) -> Iterator[Sound]:
    """The sound in pieces of a quarter of a second, mono float32 at `RATE`, in bounded memory.

    Raises:
        StoreError: the file is not one of ours, or is damaged; all that can be read comes first.
    """
    count = sample_count(path)
    if count == 0:
        return
    done = 0
    try:
        with soundfile.SoundFile(path) as file:
            if (file.samplerate, file.channels) != (RATE, 1):
                raise StoreError(f"{path}: a take's sound is mono at {RATE} samples a second")
            for piece in file.blocks(int(_READ_SECONDS * RATE), dtype="float32"):
                done += len(piece)
                yield piece
    except soundfile.LibsndfileError as error:
        raise StoreError(
            f"{path}: damaged after {done / RATE:.1f} s of {count / RATE:.1f} s; "
            "restore the file from a copy"
        ) from error
