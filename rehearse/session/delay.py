"""How late sound comes from a headset to the ear: measured once for a pair of devices, and kept.

One ear piece is held to the microphone, which then hears what the headset plays. Without it only
what an ordinary sound card takes is known; a wireless headset takes longer.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict
from statistics import median

import numpy as np

from rehearse.cues.echo import ERROR, LONGEST, heard_at
from rehearse.cues.sounds import render
from rehearse.errors import RehearseError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Source
from rehearse.measured import Measured
from rehearse.session.clock import SoundClock
from rehearse.session.own_rows import OwnRows, own_file
from rehearse.speak.player import Player, resampled
from rehearse.speak.sound import Rendered

# Unmeasured: the silence before each sound and what the device is asked to hold, 0.18 s together,
# of which PulseAudio swallowed half (docs/measurements.md).
UNMEASURED = Measured(0.15, 0.15)
TIMES = 3
_SOUND, _SECONDS = "water", 1.2
_OPEN_SECONDS = 8.0


def measure(source: Source, player: Player) -> Measured:
    """Seconds from when the device is given a sound to when the microphone has it.

    Raises:
        RehearseError: a device fails, or the microphone does not hear the sound every time.
    """
    sound = Rendered(*render(_SOUND, _SECONDS))
    given: list[float] = []
    with _recording(source) as heard:
        for _ in range(TIMES):
            player.play(sound, lambda: given.append(heard.clock()), threading.Event())
        time.sleep(LONGEST)
    whole, cue = heard.sound, resampled(sound, RATE)
    found = [(at, heard_at(whole, at, cue, RATE)) for at in given]
    delays = [place - at for at, place in found if place is not None]
    if len(delays) < TIMES:
        raise RehearseError(
            f"the microphone heard {len(delays)} of {TIMES} sounds; hold an ear piece right to it, "
            "turn the volume up and measure again"
        )
    middle = median(delays)
    spread = max(abs(delay - middle) for delay in delays)
    return Measured(round(middle, 4), round(ERROR + spread, 4))


def keep(latency: Measured, microphone: str, loudspeaker: str) -> None:
    """Keeps the latency of two devices, by the names that the system has for them.

    Raises:
        StoreError: it cannot be written.
    """
    _file().put({"microphone": microphone, "loudspeaker": loudspeaker, **asdict(latency)})


def kept(microphone: str, loudspeaker: str) -> Measured | None:
    """The latency of two devices; None when it was not measured.

    Raises:
        StoreError: the file of latencies cannot be read.
    """
    row = _file().find(microphone, loudspeaker)
    if row is None:
        return None
    try:
        return Measured(float(row["value"]), float(row["error"]))
    except (KeyError, TypeError, ValueError) as error:
        raise _file().damaged() from error


def _file() -> OwnRows:
    what = "latencies; measure again with 'rehearse drill --latency'"
    return OwnRows(own_file("latency.json"), ("microphone", "loudspeaker"), what)


class _Heard:
    """What a source has delivered so far, and the time by it."""

    def __init__(self) -> None:
        self.clock = SoundClock()
        self.pieces: list[Sound] = []
        self.first = threading.Event()
        self.over = threading.Event()
        self.trouble: RehearseError | None = None

    @property
    def sound(self) -> Sound:
        """All of it."""
        return np.concatenate([np.zeros(0, np.float32), *self.pieces])

    def record(self, source: Source) -> None:
        """Takes what comes until it is over."""
        try:
            with closing(source.chunks()) as chunks:
                for chunk in chunks:
                    self.clock.advance(chunk.samples.size / RATE)
                    self.pieces.append(chunk.samples)
                    self.first.set()
                    if self.over.is_set():
                        return
        except RehearseError as error:
            self.trouble = error
        finally:
            self.first.set()


@contextmanager
def _recording(source: Source) -> Iterator[_Heard]:
    """Hears the source while this lasts. Raises RehearseError when it fails."""
    heard = _Heard()
    thread = threading.Thread(target=heard.record, args=(source,), daemon=True, name="ears")
    thread.start()
    heard.first.wait(_OPEN_SECONDS)
    try:
        if heard.trouble is None:
            yield heard
    finally:
        heard.over.set()
        thread.join(_OPEN_SECONDS)
        if heard.trouble is not None:
            raise heard.trouble
