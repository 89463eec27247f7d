"""Rendered prompts kept on disk: a convenience that never gets in the way."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from rehearse.speak.cache import Cache
from rehearse.speak.sound import Rendered

RNG = np.random.default_rng(1)


def noise(seconds: float = 0.5) -> Rendered:
    """Some sound that does not compress away, on the steps of 16 bits."""
    steps = RNG.integers(-8000, 8000, int(seconds * 22050))
    return Rendered((steps / 32768.0).astype(np.float32), 22050)


def test_gives_back_the_very_sound(tmp_path: Path) -> None:
    """What was kept under a key comes back sample for sample, and only under that key."""
    cache, sound = Cache(tmp_path / "deep" / "speech"), noise()
    assert cache.fetch("en", 150, "Go.") is None
    cache.keep(sound, "en", 150, "Go.")
    kept = cache.fetch("en", 150, "Go.")
    assert kept is not None
    assert kept.rate == sound.rate
    np.testing.assert_array_equal(kept.samples, sound.samples)
    assert cache.fetch("en", 160, "Go.") is None


def test_a_damaged_file_is_dropped(tmp_path: Path) -> None:
    """A truncated or foreign file is no sound: it is deleted and rendered anew."""
    cache = Cache(tmp_path)
    cache.keep(noise(), "Go.")
    (file,) = tmp_path.glob("*.flac")
    file.write_bytes(b"not a sound")
    assert cache.fetch("Go.") is None
    assert list(tmp_path.iterdir()) == []


def test_stays_within_its_size(tmp_path: Path) -> None:
    """When it is full the sounds unused for longest go, and no part file is left."""
    cache = Cache(tmp_path, limit=70_000)
    for at in range(4):
        cache.keep(noise(), at)
        os.utime(cache._file((at,)), (at, at))
    assert sum(file.stat().st_size for file in tmp_path.iterdir()) <= 70_000
    assert cache.fetch(0) is None
    assert cache.fetch(3) is not None
    assert not list(tmp_path.glob("*.part"))


@pytest.mark.parametrize("blocked", ["file", "disk"])
def test_an_unwritable_folder_only_means_no_caching(
    tmp_path: Path, blocked: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where nothing can be written, keeping does nothing and raises nothing."""
    folder = tmp_path / "speech"
    if blocked == "file":
        folder.write_text("in the way")
    else:

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(Path, "replace", full)
    cache = Cache(folder)
    cache.keep(noise(), "Go.")
    assert cache.fetch("Go.") is None
    assert blocked == "file" or list(folder.iterdir()) == []
