"""How judging grows: steps and words, utterances, and one utterance that does not end."""

from __future__ import annotations

import resource
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median, quantiles

import numpy as np
import numpy.typing as npt

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Meaning, Readers
from rehearse.judge.order import misplaced
from rehearse.judge.verdict import Verdict
from rehearse.language import load
from rehearse.weights.step_judge import StepJudge

SIZES = (6, 12, 25, 50, 100, 200)  # steps
LONG = (1_000, 10_000, 100_000)  # words in one utterance
PACE = 2.5  # words a second
GAP = 0.8  # seconds between utterances

_VERBS = ("open", "close", "check", "pull", "turn", "lift", "stow", "press", "read", "hold")
_THINGS = (
    "flap", "drum", "lever", "gauge", "valve", "strap", "hatch", "panel", "hose", "bottle",
    "latch", "sill", "wheel", "lamp", "seal", "pump", "hook", "cover", "grip", "frame",
)  # fmt: skip
_PLACES = (
    "beside the first row", "under the galley bench", "behind the last curtain",
    "above the aisle floor", "next to the crew seat", "below the window", "at the forward wall",
    "over the service cart", "near the water tank", "inside the stowage",
)  # fmt: skip
_TALK = "and so we went on about the weather and the hotel that night then we had some coffee "


@dataclass(frozen=True)
class Growth:
    """What judging a take cost.

    steps, words, said: of the procedure, of the take, and how many steps were credited.
    seconds: all of it. middle, late: milliseconds an utterance, median and 95th percentile, each
        with a result after it. careful, quick: pairs read an utterance. order: seconds that the
        alignment of all steps takes when they were said backwards.
    """

    steps: int
    words: int
    said: int
    seconds: float
    middle: float
    late: float
    careful: float
    quick: float
    order: float


class Counting:
    """A reader that counts the pairs it has to read anew."""

    def __init__(self, meaning: Meaning) -> None:
        self._meaning = meaning
        self._seen: set[tuple[str, str]] = set()

    @property
    def pairs(self) -> int:
        """How many different pairs were read."""
        return len(self._seen)

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """As `rehearse.judge.meaning.Meaning` asks."""
        self._seen.update(pairs)
        return self._meaning.said(pairs)


def lines(sizes: Sequence[int] = SIZES, long: Sequence[int] = LONG) -> Iterator[str]:
    """Measures with the shipped readers and tells it as plain text, line by line as it is known."""
    careful, quick = StepJudge("step-judge-mpnet"), StepJudge("step-judge-minilm")
    yield "A take of ten words a step, every second step in other words, a result after each:"
    yield "steps  words  said  seconds  ms an utterance  95th  careful  quick  alignment s"
    for size in sizes:
        now = measure(size, Readers(careful, quick))
        yield (
            f"{now.steps:5} {now.words:6} {now.said:5} {now.seconds:8.1f} {now.middle:16.0f}"
            f" {now.late:5.0f} {now.careful:8.1f} {now.quick:6.1f} {now.order:12.3f}"
        )
    yield ""
    yield "One utterance of talk, twelve steps said at its end:"
    yield "  words  said  seconds  peak memory MB"
    for words in long:
        said, seconds = measure_long(words, Readers(careful, quick))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        yield f"{words:7} {said:5} {seconds:8.1f} {peak:15.0f}"


def measure(size: int, readers: Readers) -> Growth:
    """Judges a take of a made-up procedure of this many steps, utterance by utterance."""
    careful, quick = Counting(readers.careful), Counting(readers.quick)
    procedure = made_up(size)
    assessor = Assessor(procedure, Readers(careful, quick), load(procedure.language))
    times: list[float] = []
    texts = [_other_words(step.say) if at % 2 else step.say
             for at, step in enumerate(procedure.steps)]  # fmt: skip
    for heard in _spoken(texts):
        begun = time.perf_counter()
        assessor.add(heard)
        result = assessor.result()
        times.append(time.perf_counter() - begun)
    return Growth(
        steps=size,
        words=sum(len(text.split()) for text in texts),
        said=sum(step.verdict is Verdict.SAID for step in result.steps),
        seconds=sum(times),
        middle=1000 * median(times),
        late=1000 * quantiles(times, n=20)[-1],
        careful=careful.pairs / size,
        quick=quick.pairs / size,
        order=_alignment(procedure),
    )


def measure_long(words: int, readers: Readers, steps: int = 12) -> tuple[int, float]:
    """Steps credited and seconds for one utterance of this many words with all steps at its end."""
    procedure = made_up(steps)
    end = " ".join(step.say for step in procedure.steps)
    talk = (_TALK * (words // len(_TALK.split()) + 1)).split()
    text = " ".join([*talk[: max(0, words - len(end.split()))], end])
    begun = time.perf_counter()
    assessor = Assessor(procedure, readers, load(procedure.language))
    assessor.add(Heard(0.0, words / PACE, text))
    result = assessor.result()
    said = sum(step.verdict is Verdict.SAID for step in result.steps)
    return said, time.perf_counter() - begun


def made_up(size: int) -> Procedure:
    """A procedure in strict order whose steps share most of their words with others."""
    steps = tuple(
        Step(
            f"step-{at}",
            f"{_VERBS[at % 10]} the {_THINGS[at % 20]} {_PLACES[at // 20 % 10]} and tell the crew",
            critical=at % 3 == 0,
        )
        for at in range(size)
    )
    revision = Revision(1, date(2026, 1, 1), "for measuring")
    rule = PassRule("all", 0.8)
    return Procedure("growth", "Growth", "none", ("C1",), "en", revision, "strict", rule, steps)


def _other_words(sentence: str) -> str:
    verb, *rest = sentence.lower().split()
    return " ".join(["now", "i", verb, *rest[:-4], "and", "the", "crew", "is", "told"])


def _spoken(texts: Sequence[str]) -> Iterator[Heard]:
    at = 0.0
    for text in texts:
        end = at + len(text.split()) / PACE
        yield Heard(at, end, text)
        at = end + GAP


def _alignment(procedure: Procedure) -> float:
    """Seconds for the smallest set of misplaced steps when all were said backwards."""
    positions = {s.id: (at, at + 1) for at, s in enumerate(reversed(procedure.steps))}
    begun = time.perf_counter()
    misplaced(positions, procedure.predecessors)
    return time.perf_counter() - begun
