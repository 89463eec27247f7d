"""The judge: from the utterances of a take to a verdict on every step.

`Assessor` keeps what it has already weighed, so that adding one utterance costs only that
utterance; its result depends on nothing but the utterances, in order, so that judging live and
judging afterwards agree.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from rehearse.book.model import Procedure
from rehearse.events import Heard
from rehearse.judge.evidence import Evidence, Scales, weigh
from rehearse.judge.expanded import in_known_words
from rehearse.judge.extras import extras
from rehearse.judge.meaning import Readers
from rehearse.judge.order import misplaced
from rehearse.judge.prepared import PreparedStep, prepare
from rehearse.judge.reasons import why
from rehearse.judge.search import candidates
from rehearse.judge.speech import Span, Utterance, joined, utterances
from rehearse.judge.terms import coverage, window
from rehearse.judge.thresholds import Thresholds, thresholds
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.language.english import English

PART = 3  # content words a span must have beyond another step's saying to be an attempt of its own


class Assessor:
    """Judges one take of one procedure, utterance by utterance."""

    def __init__(
        self,
        procedure: Procedure,
        readers: Readers,
        language: English,
        limits: Thresholds | None = None,
    ) -> None:
        self.procedure = procedure
        language = language.added(procedure.words)
        readers = in_known_words(readers, language)
        self._scales = Scales(
            prepare(procedure, language), readers, language, limits or thresholds()
        )
        self._heards: list[Heard] = []
        self._weighed: dict[tuple[str, int, int], Evidence] = {}
        self._candidates: dict[tuple[str, int], list[Span]] = {}

    def add(self, heard: Heard) -> None:
        """Takes in one more utterance."""
        self._heards.append(heard)

    def restart(self) -> None:
        """Forgets everything heard: the trainee starts the procedure over."""
        self._heards.clear()
        self._weighed.clear()
        self._candidates.clear()

    def result(self) -> Result:
        """The verdicts on what was heard so far."""
        spoken = utterances(
            self._heards, self._scales.language, self._scales.thresholds.doubtful_margin
        )
        evidence = {s.step.id: self._evidence(s, spoken) for s in self._scales.prepared.steps}
        chosen = _settled(evidence, self._scales)
        early = misplaced(self._positions(chosen), self.procedure.predecessors)
        results = tuple(
            self._step_result(step, step.step.id in early, chosen)
            for step in self._scales.prepared.steps
        )
        return Result(
            self.procedure.id,
            self.procedure.revision.number,
            passes(self.procedure, results),
            results,
            extras(spoken, chosen, self._scales),
        )

    def _evidence(self, step: PreparedStep, spoken: Sequence[Utterance]) -> list[Evidence]:
        """All evidence on one step, in the order of the take."""
        found: list[Evidence] = []
        for at, utterance in enumerate(spoken):
            own = [self._weigh(step, span) for span in self._spans(step, utterance)]
            found.extend(own)
            if at and _unfinished(found, spoken[at - 1], own):
                found.extend(self._completed(step, spoken[at - 1], utterance))
        return found

    def _completed(self, step: PreparedStep, one: Utterance, two: Utterance) -> list[Evidence]:
        """The step said over two utterances, if together they say it; else nothing new."""
        margin = self._scales.thresholds.doubtful_margin
        both = joined(one, two, self._scales.language, margin)
        evidence = self._weigh(step, both) if both is not None else None
        return [evidence] if evidence and evidence.verdict is Verdict.SAID else []

    def _spans(self, step: PreparedStep, utterance: Utterance) -> list[Span]:
        key = (step.step.id, utterance.index)
        if key not in self._candidates:
            self._candidates[key] = candidates(step, utterance, self._scales)
        return self._candidates[key]

    def _weigh(self, step: PreparedStep, span: Span) -> Evidence:
        key = (step.step.id, span.first, span.last)
        if key not in self._weighed:
            self._weighed[key] = weigh(step, span, self._scales)
        return self._weighed[key]

    def _positions(self, chosen: Mapping[str, Evidence]) -> dict[str, tuple[int, int]]:
        """For each step said rightly the words of the take that say it, as narrowly as known."""
        positions: dict[str, tuple[int, int]] = {}
        for step in self._scales.prepared.steps:
            evidence = chosen.get(step.step.id)
            if evidence is None or evidence.verdict is not Verdict.SAID:
                continue
            span = evidence.span
            narrow = [
                found
                for w in step.wordings
                if (found := window(w.terms, span.tokens, self._scales.language)) is not None
            ]
            first, last = (
                min(narrow, key=lambda w: w[1] - w[0])
                if len(narrow) == 1
                else (max(narrow, key=lambda w: w[1] - w[0]) if narrow else (0, len(span.spoken)))
            )
            positions[step.step.id] = (span.first + first, span.first + last)
        return positions

    def _step_result(
        self,
        step: PreparedStep,
        early: bool,
        chosen: Mapping[str, Evidence],
    ) -> StepResult:
        evidence = chosen.get(step.step.id)
        if evidence is None:
            return StepResult(
                step.step.id,
                Verdict.NOT_SAID,
                0.0,
                "",
                None,
                None,
                why(step.step, None, Verdict.NOT_SAID, "", self._scales.language),
            )
        verdict = Verdict.OUT_OF_ORDER if early else evidence.verdict
        before = self._skipped(step.step.id, chosen) if early else ""
        return StepResult(
            step.step.id,
            verdict,
            round(evidence.probability, 4),
            evidence.span.text,
            evidence.span.start,
            evidence.span.end,
            why(step.step, evidence, verdict, before, self._scales.language),
            missing=evidence.missing if verdict is Verdict.INCOMPLETE else "",
            corrected=evidence.corrected and verdict is Verdict.SAID,
        )

    def _skipped(self, step_id: str, chosen: Mapping[str, Evidence]) -> str:
        """The sentence of the first step that should have come before this one but came later."""
        here = chosen[step_id].span.first
        for step in self.procedure.steps:
            evidence = chosen.get(step.id)
            if evidence is None or evidence.verdict is not Verdict.SAID:
                continue
            if step.id in self.procedure.predecessors[step_id] and evidence.span.first > here:
                return step.say
        return ""


def _unfinished(found: Sequence[Evidence], before: Utterance, own: Sequence[Evidence]) -> bool:
    """Whether the step was begun in the utterance before and may end in this one."""
    if any(evidence.verdict is Verdict.SAID for evidence in own):
        return False
    earlier = [e for e in found if e.span.utterance == before.index]
    begun = any(e.verdict is not Verdict.NOT_SAID for e in earlier)
    return begun and not any(e.verdict is Verdict.SAID for e in earlier)


def _settled(evidence: Mapping[str, Sequence[Evidence]], scales: Scales) -> dict[str, Evidence]:
    """For each step the evidence that counts; steps that nothing speaks of are left out."""
    said = {
        step_id: first
        for step_id, found in evidence.items()
        if (first := _first_said(found)) is not None
    }
    chosen: dict[str, Evidence] = {}
    for step_id, found in evidence.items():
        attempts = [
            e
            for e in found
            if e.verdict not in {Verdict.SAID, Verdict.NOT_SAID}
            and _of_its_own(e, step_id, said, scales)
        ]
        if step_id in said:
            chosen[step_id] = _noted(said[step_id], attempts)
        elif attempts:
            chosen[step_id] = max(
                attempts, key=lambda e: (round(e.about, 1), e.span.first - e.span.last)
            )
    return chosen


def _first_said(found: Sequence[Evidence]) -> Evidence | None:
    """The first right saying; of several spans of one utterance the likeliest, then narrowest."""
    said = [e for e in found if e.verdict is Verdict.SAID]
    if not said:
        return None
    first = min(e.span.utterance for e in said)
    return max(
        (e for e in said if e.span.utterance == first),
        key=lambda e: (round(e.probability, 1), e.span.first - e.span.last),
    )


def _noted(said: Evidence, attempts: Sequence[Evidence]) -> Evidence:
    """The right saying, marked as corrected when a broken one came before it."""
    earlier = any(e.span.last <= said.span.first for e in attempts)
    return replace(said, corrected=True) if earlier else said


def _of_its_own(
    attempt: Evidence, step_id: str, said: Mapping[str, Evidence], scales: Scales
) -> bool:
    """Whether the attempt is more than the right saying of another step."""
    own = next(s for s in scales.prepared.steps if s.step.id == step_id)
    tokens = attempt.span.tokens
    mine = coverage(own.canonical.terms, tokens, scales.language)
    if any(
        coverage(w.terms, tokens, scales.language) > mine
        for other in scales.prepared.steps
        if other is not own
        for w in other.wordings
    ):
        return False  # it is nearer to another step, whatever became of that one
    covered: set[int] = set()
    for other_id, evidence in said.items():
        if other_id != step_id and evidence.span.overlaps(attempt.span):
            covered.update(range(evidence.span.first, evidence.span.last))
    if not covered:
        return True
    stop = scales.language.lexicon.stop_words
    rest = [
        spoken.token
        for at, spoken in enumerate(attempt.span.spoken, attempt.span.first)
        if at not in covered and spoken.token.form not in stop
    ]
    return len(rest) >= PART and coverage(own.canonical.terms, rest, scales.language) > 0


def passes(procedure: Procedure, results: Sequence[StepResult]) -> bool:
    """Whether the results satisfy the procedure's pass rule."""
    rule = procedure.pass_rule
    said = {result.id for result in results if result.verdict is Verdict.SAID}
    if rule.critical == "all" and any(s.critical and s.id not in said for s in procedure.steps):
        return False
    if rule.within is not None:
        times = [r for r in results if r.start is not None and r.end is not None]
        if (
            times
            and max(r.end or 0 for r in times) - min(r.start or 0 for r in times) > rule.within
        ):
            return False
    return len(said) >= rule.least(len(procedure.steps))
