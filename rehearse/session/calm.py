"""The calm baseline of a person on a device: read in at the microphone, kept, found again."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict
from pathlib import Path

import numpy as np

from rehearse.drill.baseline import READING_SECONDS, Calm, calm
from rehearse.hear.microphone import Microphone
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Source
from rehearse.hear.voice import SileroVoice, VoiceActivity
from rehearse.measured import Measured
from rehearse.session.own_rows import OwnRows, own_file

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
    _file(path).put({"person": person, "device": device, **asdict(calm)})


def kept(person: str, device: str, path: Path | None = None) -> Calm | None:
    """The baseline of this person on this device; None when there is none.

    Raises:
        StoreError: the file of baselines cannot be read.
    """
    file = _file(path)
    row = file.find(person, device)
    if row is None:
        return None
    try:
        values = {key: float(row[key]) for key in ("noise", "spoken", "clipped")}
        return Calm(Measured(**row["level"]), Measured(**row["pitch"]), **values)
    except (KeyError, TypeError, ValueError) as error:
        raise file.damaged() from error


def _file(path: Path | None) -> OwnRows:
    what = "calm baselines; read in again with 'rehearse drill --baseline'"
    return OwnRows(path or own_file("calm.json"), ("person", "device"), what)
