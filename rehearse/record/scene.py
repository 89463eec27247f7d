"""What a timeline shows, still in seconds: words, steps, prompts, ghosts, silences, marks. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.events import Aside, Event, Ghost, Heard, Overflow, Requested, Restarted, Word
from rehearse.record.report import WORDS, Report, clean
from rehearse.record.timing import Prompt, prompts, requests, silences, utterances

SHOWN_SILENCE = 2.0  # seconds; shorter ones are how people speak
DANGEROUS = "dangerous"
_TAIL = 0.1  # seconds after the last event, so that it lies within the picture


@dataclass(frozen=True)
class Timed:
    """A text with its time, in seconds."""

    start: float
    end: float
    text: str


@dataclass(frozen=True)
class Speech:
    """One utterance with its words in time.

    counts: False when it was a request, or a later start made it void.
    """

    start: float
    end: float
    words: tuple[Timed, ...]
    counts: bool


@dataclass(frozen=True)
class Spoken:
    """One thing the tool said, with its words in time."""

    start: float
    end: float
    words: tuple[Timed, ...]


@dataclass(frozen=True)
class Judgement:
    """The span a verdict rests on: `kind` is the verdict or "dangerous", `text` its label."""

    start: float
    end: float
    text: str
    kind: str
    detail: str


@dataclass(frozen=True)
class Scene:
    """Everything to be drawn; `end` is the length of the take in seconds."""

    end: float
    speeches: tuple[Speech, ...]
    judgements: tuple[Judgement, ...]
    prompts: tuple[Spoken, ...]
    ghosts: tuple[Timed, ...]
    silences: tuple[Timed, ...]
    marks: tuple[Timed, ...]


def scene(report: Report, sound_seconds: float) -> Scene:
    """What the timeline of this report shows."""
    counted = frozenset(utterances(report.events))
    told = prompts(report.events)
    asked = requests(report.events)
    speeches = [
        Speech(e.start, e.end, _timed(e), e in counted)
        for e in report.events
        if isinstance(e, Heard)
    ]
    speeches += [
        Speech(a.start, a.end, _spread(a.start, a.end, clean(a.text)), counts=False) for a in asked
    ]
    judgements = _judgements(report)
    last = max([_end(event) for event in report.events] + [j.end for j in judgements], default=0.0)
    return Scene(
        end=max(last + _TAIL, sound_seconds),
        speeches=tuple(speeches),
        judgements=judgements,
        prompts=tuple(_prompt(prompt) for prompt in told),
        ghosts=tuple(
            Timed(e.start, e.end, clean(e.text)) for e in report.events if isinstance(e, Ghost)
        ),
        silences=tuple(
            Timed(start, end, f"{end - start:.1f} s silence")
            for gap in report.timing.gaps
            if gap.silence is not None
            for start, end in silences(gap, (*told, *asked))
            if end - start >= SHOWN_SILENCE
        ),
        marks=tuple(mark for event in report.events for mark in _mark(event)),
    )


def _timed(heard: Heard) -> tuple[Timed, ...]:
    if heard.words:
        return tuple(_word(word) for word in heard.words)
    return _spread(heard.start, heard.end, clean(heard.text))


def _word(word: Word) -> Timed:
    return Timed(word.start, word.end, clean(word.text))


def _spread(start: float, end: float, text: str) -> tuple[Timed, ...]:
    """The words of a text without times, each given a share of the time by its length."""
    words = text.split()
    length = sum(len(word) + 1 for word in words)
    timed: list[Timed] = []
    done = 0
    for word in words:
        begins = start + (end - start) * done / length
        done += len(word) + 1
        timed.append(Timed(begins, start + (end - start) * done / length, word))
    return tuple(timed)


def _prompt(prompt: Prompt) -> Spoken:
    text = clean(prompt.text) + ("" if prompt.finished else " (cut short)")
    return Spoken(prompt.start, prompt.end, _spread(prompt.start, prompt.end, text))


def _judgements(report: Report) -> tuple[Judgement, ...]:
    found = [
        Judgement(
            line.result.start,
            line.result.end if line.result.end is not None else line.result.start,
            f"{line.number} {WORDS[line.result.verdict]}",
            line.result.verdict.value,
            f"Step {line.number}, {clean(line.step.say)}: {WORDS[line.result.verdict]}. "
            f"{clean(line.result.why)}",
        )
        for line in report.lines
        if line.result.start is not None
    ]
    found += [
        Judgement(
            extra.start,
            extra.end if extra.end is not None else extra.start,
            DANGEROUS,
            DANGEROUS,
            f"Dangerous: {clean(extra.heard)}. {clean(extra.why)}",
        )
        for extra in report.extras
        if extra.dangerous and extra.start is not None
    ]
    return tuple(sorted(found, key=lambda judgement: judgement.start))


def _mark(event: Event) -> tuple[Timed, ...]:
    match event:
        case Requested(time=time, request=request):
            return (Timed(time, time, f"asked: {clean(request)}"),)
        case Restarted(time=time):
            return (Timed(time, time, "started over"),)
        case Overflow(time=time, seconds=seconds):
            return (Timed(time, time, f"{seconds:.2f} s of sound lost"),)
    return ()


def _end(event: Event) -> float:
    """When the event was over; 0.0 for what a picture does not show."""
    if isinstance(event, Heard | Ghost | Aside):
        return event.end
    return event.time
