"""Drills of two stages, and how a trainee goes through each: rightly, or with one fault. Pure."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from rehearse.bench.drill_wordings import WORDINGS, Wording
from rehearse.bench.shouting import Clip, Said
from rehearse.book.model import Revision
from rehearse.drill.model import END, Answer, Branch, Cue, Drill, Outcome, Stage, Window

NOISES = (None, 15.0, 10.0)  # dB from the noise to the shouts; None is clean
WAIT = 0.6  # seconds from the beginning of each stage to its cue
HOLDS = 0.5  # seconds that a cue sounds
SWING = 4.0  # dB that a shout of a drill may be louder or quieter than the others
SETTLES = 1.2  # seconds after the last shout of a stage when it gives up
STOP_WITHIN = 1.0


class Fault(StrEnum):
    """What the trainee does wrong in one of the two stages."""

    NONE = "none"
    SLIP = "slip"  # a wrong command first, then the right one
    WRONG = "wrong"  # only a wrong command
    HALF = "half"  # only a part of the command
    STALE = "stale"  # the command of the first stage once more in the second, then the right one


# Half of the drills are without a fault: enough of both to give each rate a narrow interval.
_FAULTS = (*[Fault.NONE] * 4, Fault.SLIP, Fault.WRONG, Fault.HALF, Fault.STALE)


_PAIRS = (
    ("belts", "dead"),
    ("slide", "across"),
    ("brace", "belts"),
    ("filling", "slide"),
    ("slide", "flow"),
    ("belts", "filling"),
    ("flow", "dead"),
)
_CUES = {
    "brace": "impact",
    "belts": "evacuation-signal",
    "filling": "slide-filling",
    "slide": "crowd-moving",
    "dead": "door-jammed",
    "across": "slide-hanging",
    "flow": "crowd-gone",
}


@dataclass(frozen=True)
class Intent:
    """One thing the trainee means to say.

    after: seconds, the first of a stage from the latest time of its cue, another from the end of
    the saying before it. gain: dB over the calm level.
    """

    text: str
    answer: str
    right: bool
    after: float
    gain: float


@dataclass(frozen=True)
class Case:
    """One drill to be constructed.

    voice: which of the voices speaks. snr: one of `NOISES`. acts: what is said in each stage.
    """

    number: int
    voice: int
    snr: float | None
    fault: Fault
    wordings: tuple[Wording, Wording]
    acts: tuple[tuple[Intent, ...], tuple[Intent, ...]]


@dataclass(frozen=True)
class Played:
    """A case in the words of one voice. seconds: how long the sound must be."""

    drill: Drill
    sayings: tuple[tuple[Said, Clip], ...]
    seconds: float


def cases(count: int, voices: int) -> list[Case]:
    """The same cases for the same numbers; every voice in every noise with every kind of fault."""
    return [_case(number, voices) for number in range(count)]


def _case(number: int, voices: int) -> Case:
    draw = random.Random(f"drill {number}")  # noqa: S311 - chance, not secrecy
    first, second = (WORDINGS[name] for name in _PAIRS[number % len(_PAIRS)])
    fault = draw.choice(_FAULTS)
    faulty = 1 if fault is Fault.STALE else draw.randrange(2)
    gain = draw.uniform(12.0, 20.0)
    acts = [
        _act(word, fault if at == faulty else Fault.NONE, first, gain, draw)
        for at, word in enumerate((first, second))
    ]
    noise = NOISES[number // voices % len(NOISES)]
    return Case(number, number % voices, noise, fault, (first, second), (acts[0], acts[1]))


def _act(
    word: Wording, fault: Fault, first: Wording, gain: float, draw: random.Random
) -> tuple[Intent, ...]:
    own = f"{word.id}.call"
    said: list[tuple[str, str, bool]] = []
    right = (word.say, own, True)
    match fault:
        case Fault.NONE:
            said = [right] * draw.randint(2, 3)
        case Fault.SLIP:
            said = [(draw.choice(word.wrong), own, False), right, right]
        case Fault.WRONG:
            said = [(draw.choice(word.wrong), own, False)] * 2
        case Fault.HALF:
            said = [(word.half, own, False)] * 2
        case Fault.STALE:
            said = [(first.say, f"{first.id}.call", False), right]
    intents: list[Intent] = []
    for number, (text, answer, good) in enumerate(said):
        # Gaps shorter and longer than the pause that ends an utterance.
        after = draw.choice((draw.uniform(0.3, 0.5), draw.uniform(0.8, 1.6)))
        if not number:
            after = draw.uniform(0.4, 1.5) + (STOP_WITHIN if fault is Fault.STALE else 0.0)
        intents.append(Intent(text, answer, good, after, gain + draw.uniform(-SWING, SWING)))
    return tuple(intents)


def played(case: Case, clips: Sequence[tuple[Clip, ...]]) -> Played:
    """The case laid out in time.

    clips: for each act the clip of each saying. The drill's stages give up `SETTLES` after their
    last saying, so that whatever is heard of the first stage the second is on in time.
    """
    said: list[tuple[Said, Clip]] = []
    stages: list[Stage] = []
    now = 0.0
    for number, intents in enumerate(case.acts):
        cue = now + WAIT
        act = _laid_out(intents, clips[number], cue)
        now = act[-1].end + SETTLES
        stages.append(_stage(case.wordings, number, now - cue - HOLDS, _lasted(act)))
        said.extend(zip(act, clips[number], strict=True))
    drill = Drill(
        f"measured-{case.number}",
        f"Measured drill {case.number}",
        "tarn-240",
        "en",
        Revision(1, date(2026, 11, 1), "measurement"),
        tuple(stages),
    )
    return Played(drill, tuple(said), now + 1.0)


def _laid_out(intents: Sequence[Intent], clips: Sequence[Clip], cue: float) -> list[Said]:
    """What is said after a cue, each saying at its time."""
    act: list[Said] = []
    end = cue
    for intent, voice in zip(intents, clips, strict=True):
        start = end + intent.after
        end = start + voice.seconds
        act.append(Said(intent.text, intent.answer, intent.right, start, end, intent.gain))
    return act


def _lasted(act: Sequence[Said]) -> float:
    """How long the right command was gone on with, a little less; 0 when it was said once."""
    right = [said for said in act if said.right]
    return max(0.0, right[-1].end - right[0].start - 0.5) if len(right) > 1 else 0.0


def _stage(wordings: tuple[Wording, Wording], number: int, gives_up: float, lasts: float) -> Stage:
    first, second = wordings
    word = wordings[number]
    return Stage(
        word.id,
        Cue(_CUES[word.id], HOLDS, "", "", Window(WAIT, WAIT)),
        (Answer("call", word.say, every=6.0, lasts=lasts),),
        (Branch(END if number else second.id, tuple(Outcome)),),
        silences=(f"{first.id}.call",) if number else (),
        stop_within=STOP_WITHIN,
        never=word.wrong[:1],
        gives_up=gives_up,
    )
