"""The judge against the corpus: every case judged, with what was given and how long it took."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from rehearse.bench.corpus import PACE, Recitation, StepCase, read_corpus, spoken
from rehearse.bench.embedding import Embedding
from rehearse.bench.fitting import Fit, fit
from rehearse.bench.plain import Method, methods
from rehearse.bench.rates import Pair
from rehearse.book.model import Procedure
from rehearse.book.shelf import all_procedures
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.thresholds import Thresholds, thresholds
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict
from rehearse.language import load
from rehearse.weights.step_judge import StepJudge

CORPUS = Path("tests/corpus")  # where the corpus lies in a checkout
REMEMBERED = 1_000_000  # pairs; every pair of a run, about 200 MB at the very most

Progress = Callable[[int, int], None]  # cases done, cases in all


@dataclass(frozen=True)
class StepOutcome:
    """What the judge made of one single-step case."""

    case: StepCase
    given: StepResult
    milliseconds: float

    @property
    def pair(self) -> Pair:
        """Expected and given."""
        return self.case.expect, self.given.verdict


@dataclass(frozen=True)
class RecitationOutcome:
    """What the judge made of one whole take.

    found, missed: the dangerous words of the case that were reported, and that were not.
    false: what was reported as dangerous beyond them.
    milliseconds: one figure an utterance: taking it in and judging the take anew.
    """

    case: Recitation
    given: Mapping[str, Verdict]
    found: tuple[str, ...]
    missed: tuple[str, ...]
    false: tuple[str, ...]
    milliseconds: tuple[float, ...]

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """Expected and given, step by step."""
        return tuple((expect, self.given[step]) for step, expect in self.case.expect.items())

    @property
    def exact(self) -> bool:
        """Whether every step got its verdict."""
        return all(expect is given for expect, given in self.pairs)


@dataclass(frozen=True)
class Evaluation:
    """All outcomes of one run; the judge and its alternatives on the same single-step cases."""

    steps: tuple[StepOutcome, ...]
    recitations: tuple[RecitationOutcome, ...]
    methods: tuple[Method, ...]


def evaluation_readers() -> Readers:
    """Both step judges, with memory for all pairs of a run. Raises ModelError."""
    return Readers(
        StepJudge("step-judge-mpnet", remembered=REMEMBERED),
        StepJudge("step-judge-minilm", remembered=REMEMBERED),
    )


def evaluate(
    folder: Path,
    procedures: Path,
    readers: Readers,
    progress: Progress = lambda _done, _all: None,
    *,
    limits: Thresholds | None = None,
    embedding: Embedding | None = None,
    held_out: bool = True,
) -> Evaluation:
    """Judges the cases of the corpus in `folder` against the book in `procedures`.

    Args:
        folder: the corpus, `tests/corpus` in a checkout.
        procedures: the folder with the procedures that the cases name.
        readers: see `evaluation_readers`; the same readers serve any number of runs.
        progress: told after each case how many are done.
        limits: thresholds to try instead of the shipped ones.
        embedding: one more alternative to measure, when there is one.
        held_out: whether the held-out procedures are judged too.

    Raises:
        CorpusError: the corpus is not there or a row has a fault.
        ShelfError: the folder of procedures is not there.
    """
    book = {procedure.id: procedure for procedure in all_procedures([procedures])}
    corpus = read_corpus(folder, book)
    if not held_out:
        corpus = corpus.development
    total = len(corpus.steps) + len(corpus.recitations)
    steps: list[StepOutcome] = []
    for case in corpus.steps:
        steps.append(step_outcome(case, _assessor(case.procedure, readers, limits)))
        progress(len(steps), total)
    recitations: list[RecitationOutcome] = []
    for take in corpus.recitations:
        assessor = _assessor(take.procedure, readers, limits)
        recitations.append(_recitation_outcome(take, assessor))
        progress(len(steps) + len(recitations), total)
    given = [outcome.given for outcome in steps]
    scored = methods(corpus.steps, given, readers.careful, embedding)
    return Evaluation(tuple(steps), tuple(recitations), scored)


def fit_thresholds(
    folder: Path,
    procedures: Path,
    readers: Readers,
    progress: Progress = lambda _done, _all: None,
) -> Fit:
    """The judge's thresholds fitted on the development procedures; see `rehearse.bench.fitting`.

    Raises:
        CorpusError: the corpus is not there or a row has a fault.
        ShelfError: the folder of procedures is not there.
        FittingError: no case belongs to a development procedure.
    """
    book = {procedure.id: procedure for procedure in all_procedures([procedures])}
    cases = read_corpus(folder, book).development.steps

    def judge(case: StepCase, limits: Thresholds) -> Verdict:
        return step_outcome(case, _assessor(case.procedure, readers, limits)).pair[1]

    return fit(cases, judge, thresholds(), progress)


def _assessor(procedure: Procedure, readers: Readers, limits: Thresholds | None) -> Assessor:
    return Assessor(procedure, readers, load(procedure.language), limits)


def step_outcome(case: StepCase, assessor: Assessor) -> StepOutcome:
    """One case judged by a judge that has heard nothing else."""
    (heard,) = spoken((case.said,))
    result, milliseconds = _timed(assessor, heard)
    return StepOutcome(case, result.step(case.step.id), milliseconds)


def _timed(assessor: Assessor, heard: Heard) -> tuple[Result, float]:
    started = time.perf_counter()
    assessor.add(heard)
    result = assessor.result()
    return result, (time.perf_counter() - started) * 1000


def _recitation_outcome(case: Recitation, assessor: Assessor) -> RecitationOutcome:
    heards = spoken(case.utterances)
    milliseconds: list[float] = []
    for heard in heards:
        result, taken = _timed(assessor, heard)
        milliseconds.append(taken)
    dangerous = [extra for extra in result.extras if extra.dangerous]
    marked = {words: _when(words, heards) for words in case.dangerous}
    found = tuple(w for w, when in marked.items() if any(_meets(e, when) for e in dangerous))
    return RecitationOutcome(
        case,
        {step.id: step.verdict for step in result.steps},
        found,
        tuple(words for words in marked if words not in found),
        tuple(e.heard for e in dangerous if not any(_meets(e, w) for w in marked.values())),
        tuple(milliseconds),
    )


_Times = tuple[float, float]


def _when(words: str, heards: tuple[Heard, ...]) -> tuple[_Times, ...]:
    """Every time [start, end) at which these words are said, by the pace of `spoken`."""
    times: list[_Times] = []
    for heard in heards:
        at = heard.text.find(words)
        if at >= 0:
            start = heard.start + len(heard.text[:at].split()) / PACE
            times.append((start, start + len(words.split()) / PACE))
    return tuple(times)


def _meets(extra: Extra, times: tuple[_Times, ...]) -> bool:
    """Whether the extra was said at any of the times, at least in part."""
    if extra.start is None or extra.end is None:
        return False
    return any(extra.start < end and start < extra.end for start, end in times)
