"""What happens in a take, as values: the words that every stage passes on to the next.

Times are seconds from the start of the take, as floats. Every event is a frozen dataclass that
turns into one JSON object and back without loss (`to_json`, `from_json`), so that a take's log
is the whole truth about it and can be judged again without its sound.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from typing import Any


@dataclass(frozen=True)
class Word:
    """One recognised word: its text as printed, seconds, and the recogniser's confidence 0..1."""

    text: str
    start: float
    end: float
    confidence: float = 1.0


@dataclass(frozen=True)
class SlotCheck:
    """The flip test of one slot: how much better the sound fits what was heard than its opposite.

    `first` and `count` give the words of the utterance that carry the slot, `heard` their text,
    `contrast` the text they were flipped to ("" when words were taken out, as "do not" is),
    `margin` the difference of support in nats: positive when the sound prefers what was heard.
    """

    first: int
    count: int
    heard: str
    contrast: str
    margin: float


@dataclass(frozen=True)
class Listening:
    """The microphone or recording was opened; hearing starts."""

    time: float


@dataclass(frozen=True)
class SpeechStarted:
    """The trainee began to speak; `time` is the onset in the sound itself."""

    time: float


@dataclass(frozen=True)
class Partial:
    """Provisional text of the utterance in progress. For the eye only: never judged."""

    time: float
    text: str


@dataclass(frozen=True)
class Heard:
    """One finished utterance.

    text: what was said, as far as the sound supports it.
    start, end: seconds from the start of the take, of the speech itself (onset to last sound).
    words: the same text word by word; empty when the words came from a file without times.
    free: what was decoded without any bias towards the procedure; "" when not known.
    alternatives: other texts the sound could be, best first.
    checks: one flip test per slot found in `text`; None when there was no sound to test
        (a words file), in which case the text is taken as the truth.
    support: mean support of the text in nats per token, sound minus expectation; None when
        there was no sound.
    level: active speech level in dB relative to full scale; None when there was no sound.
    """

    start: float
    end: float
    text: str
    words: tuple[Word, ...] = ()
    free: str = ""
    alternatives: tuple[str, ...] = ()
    checks: tuple[SlotCheck, ...] | None = None
    support: float | None = None
    level: float | None = None


@dataclass(frozen=True)
class Ghost:
    """Sound that was decoded into words which nobody said; `why` tells what gave them away."""

    start: float
    end: float
    text: str
    why: str


@dataclass(frozen=True)
class Overflow:
    """The sound device lost samples; every timing that spans `time` is void."""

    time: float
    seconds: float


@dataclass(frozen=True)
class PromptStarted:
    """The tool began to speak `text`; `purpose` says why (welcome, nudge, hint, correction ...)."""

    time: float
    text: str
    purpose: str


@dataclass(frozen=True)
class PromptEnded:
    """The tool stopped speaking; `finished` is False when it was cut short."""

    time: float
    finished: bool = True


@dataclass(frozen=True)
class CueStarted:
    """A drill's cue begins to sound; `stage` is the stage it opens, `told` what it tells."""

    time: float
    stage: str
    told: str


@dataclass(frozen=True)
class CueEnded:
    """The cue has sounded; `finished` is False when it was cut short.

    late: seconds by which the device faltered while it played it; they are in `time`.
    """

    time: float
    stage: str
    finished: bool = True
    late: float = 0.0


@dataclass(frozen=True)
class StageOver:
    """A drill's stage is over; `outcome` is answered, unanswered or wrong."""

    time: float
    stage: str
    outcome: str


@dataclass(frozen=True)
class CueHeard:
    """The microphone heard a drill's cue, found in the take's sound by its shape.

    time, end: where its sound begins and ends. given: the time of its `CueStarted`.
    error: of `time` and `end`, seconds.
    """

    time: float
    end: float
    stage: str
    given: float
    error: float


@dataclass(frozen=True)
class Requested:
    """The trainee asked the tool for something; the utterance is not judged as a step."""

    time: float
    request: str
    text: str


@dataclass(frozen=True)
class Restarted:
    """The trainee starts the procedure over: utterances before this are not judged."""

    time: float


@dataclass(frozen=True)
class Stated:
    """What is stated before an oral check begins; `what` is identity, consent or order.

    text: identity: the person's id in the record store, never a name; consent: yes or no, to
        keeping the sound; order: how the procedure was drawn.
    """

    time: float
    what: str
    text: str


@dataclass(frozen=True)
class Instructed:
    """The instructor of an oral check did something: pause, go on, question, remark or end.

    text: what was typed with it; "" when what is said next is the question or the remark.
    """

    time: float
    act: str
    text: str = ""


@dataclass(frozen=True)
class Aside:
    """Something said in an oral check that is no answer: it is not judged.

    kind: early (before consent was stated), pause, question or remark.
    text: the question's or the remark's words; "" otherwise, for nobody meant it for the record.
    """

    start: float
    end: float
    kind: str
    text: str = ""


@dataclass(frozen=True)
class Judged:
    """A step's verdict changed to `verdict`; for the reader of the log, never read back."""

    time: float
    step: str
    verdict: str
    probability: float
    why: str


@dataclass(frozen=True)
class Ended:
    """The take is over; `why` is one of finished, stopped, silence, end of recording, device."""

    time: float
    why: str


Event = (
    Listening
    | SpeechStarted
    | Partial
    | Heard
    | Ghost
    | Overflow
    | PromptStarted
    | PromptEnded
    | CueStarted
    | CueEnded
    | StageOver
    | CueHeard
    | Requested
    | Restarted
    | Stated
    | Instructed
    | Aside
    | Judged
    | Ended
)

_KINDS: dict[str, type[Any]] = {
    kind.__name__: kind
    for kind in (
        Listening,
        SpeechStarted,
        Partial,
        Heard,
        Ghost,
        Overflow,
        PromptStarted,
        PromptEnded,
        CueStarted,
        CueEnded,
        StageOver,
        CueHeard,
        Requested,
        Restarted,
        Stated,
        Instructed,
        Aside,
        Judged,
        Ended,
    )
}


def to_json(event: Event) -> dict[str, Any]:
    """The event as a JSON-ready object; its `event` key names the kind."""
    return {"event": type(event).__name__, **asdict(event)}


def from_json(row: dict[str, Any]) -> Event:
    """The event that `to_json` wrote. Unknown keys of a newer writer are passed over.

    Raises:
        ValueError: the row names no known event or lacks one of its fields.
    """
    kind = _KINDS.get(str(row.get("event")))
    if kind is None:
        raise ValueError(f"unknown event {row.get('event')!r}")
    known = {field.name for field in fields(kind)}
    values = {key: value for key, value in row.items() if key in known}
    if kind is Heard:
        values["words"] = tuple(Word(**word) for word in values.get("words", ()))
        values["alternatives"] = tuple(values.get("alternatives", ()))
        checks = values.get("checks")
        values["checks"] = None if checks is None else tuple(SlotCheck(**c) for c in checks)
    try:
        event: Event = kind(**values)
    except TypeError as error:
        raise ValueError(f"incomplete {kind.__name__} event: {error}") from error
    return event
