"""The calm baseline of a person on a device: read in at the microphone, kept, found again."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
from platformdirs import user_data_path

from rehearse.drill.baseline import READING_SECONDS, Calm, calm
from rehearse.errors import StoreError
from rehearse.hear.microphone import Microphone
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Source
from rehearse.hear.voice import SileroVoice, VoiceActivity
from rehearse.measured import Measured
from rehearse.record.place import cannot_write

READING = (
    "Good morning. I am reading this page in the voice I use across a table, without hurry and "
    "without raising it. The cabin of an aeroplane before boarding is a quiet place. Somebody "
    "counts the blankets, somebody folds a newspaper, and the lamps over the seats go on one "
    "after the other. In the galley the kettle begins to hum. Outside it rains a little, and the "
    "people on the ground walk under one umbrella. We have time, so nobody runs. When the last "
    "locker is closed I take a breath, look along the rows and go to my seat."
)


def read_in(
    microphone: int | str | None,
    told: Callable[[float], None] = lambda _seconds: None,
    *,
    seconds: float = READING_SECONDS,
) -> Calm:
    """Hears a calm reading of `READING` at the microphone and measures it.

    told: the seconds that are left, again and again.

    Raises:
        SoundError: no microphone, or it stops delivering.
    """
    return measure(Microphone(microphone), SileroVoice(), told, seconds=seconds)


def measure(
    source: Source,
    voice: VoiceActivity,
    told: Callable[[float], None] = lambda _seconds: None,
    *,
    seconds: float = READING_SECONDS,
) -> Calm:
    """`read_in` from any source, as far as it goes."""
    heard: list[Sound] = []
    left = int(seconds * RATE)
    with closing(source.chunks()) as chunks:
        for chunk in chunks:
            heard.append(chunk.samples[:left])
            left -= len(heard[-1])
            told(left / RATE)
            if left <= 0:
                break
    return calm(np.concatenate(heard or [np.zeros(0, np.float32)]), voice)


def keep(calm: Calm, person: str, device: str, path: Path | None = None) -> None:
    """Keeps the baseline in place of an earlier one of this person on this device.

    person: who, "" for whoever uses this computer's account. device: the microphone's name.
    path: the file of baselines, None for the one in the user's own data folder.

    Raises:
        StoreError: it cannot be written.
    """
    file = path or _own_file()
    rows = [row for row in _rows(file) if (row["person"], row["device"]) != (person, device)]
    rows.append({"person": person, "device": device, **asdict(calm)})
    new = file.with_suffix(".new")
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with os.fdopen(os.open(new, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600), "w") as out:
            json.dump(rows, out, indent=1)
        new.replace(file)
    except OSError as error:
        raise cannot_write(file, error) from error


def kept(person: str, device: str, path: Path | None = None) -> Calm | None:
    """The baseline of this person on this device; None when there is none.

    Raises:
        StoreError: the file of baselines cannot be read.
    """
    file = path or _own_file()
    for row in _rows(file):
        if (row["person"], row["device"]) == (person, device):
            try:
                values = {key: float(row[key]) for key in ("noise", "spoken", "clipped")}
                return Calm(Measured(**row["level"]), Measured(**row["pitch"]), **values)
            except (KeyError, TypeError, ValueError) as error:
                raise _damaged(file) from error
    return None


def _own_file() -> Path:
    return user_data_path("rehearse", appauthor=False) / "calm.json"


def _rows(file: Path) -> list[dict[str, Any]]:
    try:
        rows = json.loads(file.read_text("utf-8"))
    except FileNotFoundError:
        return []
    except ValueError as error:
        raise _damaged(file) from error
    except OSError as error:
        raise StoreError(f"{file}: cannot be read ({error.strerror}); make it readable") from error
    whole = isinstance(rows, list) and all(
        isinstance(row, dict) and {"person", "device"} <= row.keys() for row in rows
    )
    if not whole:
        raise _damaged(file)
    return list(rows)


def _damaged(file: Path) -> StoreError:
    return StoreError(
        f"{file}: holds no calm baselines that can be read; delete it and read in again with "
        "'rehearse drill --baseline'"
    )
