"""How late sound comes from a headset to the ear: measured once for a pair of devices, and kept.

One ear piece is held to the microphone, which then hears what the headset plays. Without it only
what an ordinary sound card takes is known; a wireless headset takes longer.
"""

from __future__ import annotations

import threading
import time
from dataclasses import asdict
from statistics import median

from rehearse.cues.echo import ERROR, LONGEST, heard_at
from rehearse.cues.sounds import render
from rehearse.errors import RehearseError
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Source
from rehearse.measured import Measured
from rehearse.session.own_rows import OwnRows, own_file
from rehearse.session.recorder import Recorder
from rehearse.speak.player import Player, resampled
from rehearse.speak.sound import Rendered

# Unmeasured: the silence before each sound and what the device is asked to hold, 0.18 s together,
# of which PulseAudio swallowed half (docs/measurements.md).
UNMEASURED = Measured(0.15, 0.15)
TIMES = 3
_SOUND, _SECONDS = "water", 1.2


def measure(source: Source, player: Player) -> Measured:
    """Seconds from when the device is given a sound to when the microphone has it.

    Raises:
        RehearseError: a device fails, or the microphone does not hear the sound every time.
    """
    with Recorder(source) as heard:
        return measured_in(heard, player)


def measured_in(heard: Recorder, player: Player) -> Measured:
    """`measure` with a microphone that is being recorded already."""
    sound = Rendered(*render(_SOUND, _SECONDS))
    given: list[float] = []
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
