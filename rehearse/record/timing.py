"""How long a take took, from its events: first and last word, silences, pace. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from rehearse.events import (
    Event,
    Heard,
    Overflow,
    PromptEnded,
    PromptStarted,
    Requested,
    Restarted,
    SpeechStarted,
)


@dataclass(frozen=True)
class Prompt:
    """One thing the tool said, and when; `finished` is False when it was cut short."""

    start: float
    end: float
    text: str
    purpose: str
    finished: bool = True


@dataclass(frozen=True)
class Asked:
    """Something the trainee asked the tool for; `start` is `end` when the onset is not known."""

    start: float
    end: float
    text: str
    request: str


@dataclass(frozen=True)
class Gap:
    """The time between two utterances of the trainee that are judged.

    silence: the longest stretch of it, in seconds, in which neither the tool spoke nor the trainee
        asked it for something; None when the sound device lost samples in the gap.
    silent_from: where that stretch begins; None with it.
    """

    start: float
    end: float
    silence: float | None = None
    silent_from: float | None = None


@dataclass(frozen=True)
class Timing:
    """The times of the last attempt in a take, in seconds from the start of the take.

    first_word, last_word: start of the first utterance and end of the last; None when nothing was
        said, and `last_word` also when the device lost samples between them.
    duration: from the one to the other.
    words: how many words were said.
    words_per_minute: while speaking, silences left out.
    gaps: between utterances, in order.
    longest_silence: the longest of any gap; 0.0 when there is none.
    lost: where samples were lost; every value that spans such a place is None.
    """

    first_word: float | None
    last_word: float | None
    duration: float | None
    words: int
    words_per_minute: float | None
    gaps: tuple[Gap, ...]
    longest_silence: float | None
    lost: tuple[Overflow, ...]

    @property
    def void(self) -> bool:
        """Samples were lost within the attempt, so that some times are unknown."""
        return bool(self.lost)


def timing(events: Sequence[Event]) -> Timing:
    """The times of the last attempt: what came before the last `Restarted` does not count."""
    said = utterances(events)
    if not said:
        return Timing(None, None, None, 0, None, (), None, ())
    first, last = said[0].start, max(heard.end for heard in said)
    lost = tuple(e for e in events if isinstance(e, Overflow) and first <= e.time <= last)
    spoken: tuple[Prompt | Asked, ...] = (*prompts(events), *requests(events))
    gaps = tuple(
        _measured(Gap(before.end, after.start), spoken, lost)
        for before, after in pairwise(said)
        if after.start > before.end
    )
    words = sum(word_count(heard) for heard in said)
    talking = sum(heard.end - heard.start for heard in said)
    measured = not lost
    return Timing(
        first_word=first,
        last_word=last if measured else None,
        duration=last - first if measured else None,
        words=words,
        words_per_minute=60 * words / talking if measured and talking > 0 else None,
        gaps=gaps,
        longest_silence=_longest(gaps),
        lost=lost,
    )


def utterances(events: Iterable[Event]) -> tuple[Heard, ...]:
    """What the trainee said towards the procedure: the last attempt, without spoken requests."""
    said: list[Heard] = []
    for event in events:
        if isinstance(event, Heard):
            said.append(event)
        elif isinstance(event, Restarted):
            said.clear()
        elif isinstance(event, Requested):
            said = [h for h in said if (h.end, h.text) != (event.time, event.text)]
    return tuple(sorted(said, key=lambda heard: heard.start))


def prompts(events: Iterable[Event]) -> tuple[Prompt, ...]:
    """What the tool said; one that was never closed ends where it began."""
    found: list[Prompt] = []
    begun: PromptStarted | None = None
    for event in events:
        if isinstance(event, PromptStarted):
            if begun is not None:
                found.append(_prompt(begun, event.time, finished=False))
            begun = event
        elif isinstance(event, PromptEnded) and begun is not None:
            found.append(_prompt(begun, event.time, finished=event.finished))
            begun = None
    if begun is not None:
        found.append(_prompt(begun, begun.time, finished=False))
    return tuple(found)


def _prompt(begun: PromptStarted, end: float, *, finished: bool) -> Prompt:
    return Prompt(begun.time, max(begun.time, end), begun.text, begun.purpose, finished)


def word_count(heard: Heard) -> int:
    """How many words the utterance has, by the recogniser or else by its spaces."""
    return len(heard.words) or len(heard.text.split())


def requests(events: Iterable[Event]) -> tuple[Asked, ...]:
    """What the trainee asked the tool for."""
    found: list[Asked] = []
    onset: float | None = None
    for event in events:
        if isinstance(event, SpeechStarted):
            onset = event.time
        elif isinstance(event, Requested):
            start = event.time if onset is None else min(onset, event.time)
            found.append(Asked(start, event.time, event.text, event.request))
            onset = None
        elif isinstance(event, Heard):
            onset = None
    return tuple(found)


def silences(gap: Gap, spoken: Iterable[Prompt | Asked]) -> tuple[tuple[float, float], ...]:
    """The stretches of a gap outside everything in `spoken`, as start and end."""
    quiet: list[tuple[float, float]] = []
    since = gap.start
    for part in sorted(spoken, key=lambda part: part.start):
        if part.end > gap.start and part.start < gap.end:
            quiet.append((since, part.start))
            since = max(since, part.end)
    quiet.append((since, gap.end))
    return tuple((start, end) for start, end in quiet if end > start)


def _measured(gap: Gap, spoken: Sequence[Prompt | Asked], lost: Sequence[Overflow]) -> Gap:
    if any(gap.start <= overflow.time <= gap.end for overflow in lost):
        return gap
    start, end = max(
        silences(gap, spoken), key=lambda span: span[1] - span[0], default=(gap.start, gap.start)
    )
    return replace(gap, silence=end - start, silent_from=start)


def _longest(gaps: Sequence[Gap]) -> float | None:
    longest = 0.0
    for gap in gaps:
        if gap.silence is None:
            return None
        longest = max(longest, gap.silence)
    return longest
