"""When the cues of a drill's take were heard, from its events. Pure.

Where the microphone heard a cue, its place in the sound is the truth; elsewhere it is when the
device was given it, and the latency of the devices after that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from statistics import median

from rehearse.events import CueEnded, CueHeard, CueStarted, Event
from rehearse.measured import Measured


def latency(events: Sequence[Event], stated: Measured) -> Measured:
    """Seconds from when the device was given a cue to when it was heard; see `Run.latency`.

    stated: what the devices say, where the microphone heard no cue.
    """
    heard = [event for event in events if isinstance(event, CueHeard)]
    known = {event.given for event in heard}
    cues = [event for event in events if isinstance(event, CueStarted)]
    faltered = max((late for begun, late in _late(events) if begun not in known), default=0.0)
    if not heard:
        return replace(stated, error=round(stated.error + faltered, 4))
    delays = [event.time - event.given for event in heard]
    middle = median(delays)
    error = max(event.error for event in heard)
    if len(known) < len(cues):
        error += max(abs(delay - middle) for delay in delays) + faltered
    return Measured(round(middle, 4), round(error, 4))


def placed(events: Sequence[Event], late: Measured) -> tuple[Event, ...]:
    """The events, each cue that the microphone heard given so that it is heard where it was."""
    heard = {event.given: event for event in events if isinstance(event, CueHeard)}
    before = late.value or 0.0
    found: list[Event] = []
    place: CueHeard | None = None
    for event in events:
        if isinstance(event, CueStarted):
            place = heard.get(event.time)
            if place is not None:
                event = replace(event, time=round(place.time - before, 4))
        elif isinstance(event, CueEnded) and event.finished and place is not None:
            event = replace(event, time=round(place.end - before, 4))
        found.append(event)
    return tuple(found)


def _late(events: Sequence[Event]) -> list[tuple[float, float]]:
    """When each cue began, and by how much the device faltered in it."""
    found: list[tuple[float, float]] = []
    begun = 0.0
    for event in events:
        if isinstance(event, CueStarted):
            begun = event.time
        elif isinstance(event, CueEnded):
            found.append((begun, event.late))
    return found
