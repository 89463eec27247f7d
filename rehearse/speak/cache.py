"""Rendered prompts kept on disk, so that a text said before is there at once.

Only a convenience: a cache that cannot be read or written means no caching, never an error.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from platformdirs import user_cache_path

from rehearse.errors import VoiceError
from rehearse.speak.sound import Rendered, read

_LIMIT_BYTES = 48 * 1024 * 1024  # about an hour of speech
_FORMAT = "1"  # raise it when rendering changes, so that old sounds are not used


def default_folder() -> Path:
    """Where rendered prompts are kept for this user."""
    return user_cache_path("rehearse", appauthor=False) / "speech"


@dataclass(frozen=True)
class Cache:
    """A folder of FLAC files named by what they say. Oldest use goes first when it is full."""

    folder: Path = field(default_factory=default_folder)
    limit: int = _LIMIT_BYTES

    def fetch(self, *key: object) -> Rendered | None:
        """The sound kept under this key; None when there is none, or it is damaged."""
        file = self._file(key)
        try:
            if not file.is_file():
                return None
            sound = read(file)
            os.utime(file)
        except VoiceError:
            with contextlib.suppress(OSError):
                file.unlink()
            return None
        except OSError:
            return None
        return sound

    def keep(self, sound: Rendered, *key: object) -> None:
        """Keep the sound under this key. A reader sees all of it or nothing."""
        import soundfile

        encoded = io.BytesIO()
        soundfile.write(encoded, sound.samples, sound.rate, format="FLAC", subtype="PCM_16")
        with contextlib.suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            _write(self._file(key), encoded.getvalue())
            self._prune()

    def _file(self, key: tuple[object, ...]) -> Path:
        name = "\x1f".join([_FORMAT, *map(str, key)])
        return self.folder / f"{hashlib.sha256(name.encode()).hexdigest()[:40]}.flac"

    def _prune(self) -> None:
        """Delete the sounds whose last use is longest ago, until the rest fits."""
        kept = sorted(
            ((entry.stat().st_mtime, entry.stat().st_size, entry)
             for entry in self.folder.glob("*.flac")),
        )  # fmt: skip
        total = sum(size for _, size, _ in kept)
        for _, size, entry in kept:
            if total <= self.limit:
                return
            entry.unlink(missing_ok=True)
            total -= size


def _write(file: Path, content: bytes) -> None:
    descriptor, name = tempfile.mkstemp(dir=file.parent, suffix=".part")
    try:
        with os.fdopen(descriptor, "wb") as part:
            part.write(content)
        Path(name).replace(file)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
