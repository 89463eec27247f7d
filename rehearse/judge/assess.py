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
from rehearse.judge.attempts import Attempts
from rehearse.judge.by_words import by_words
from rehearse.judge.cover import Cover
from rehearse.judge.evidence import Scales
from rehearse.judge.expanded import in_known_words
from rehearse.judge.extras import Extras
from rehearse.judge.meaning import Readers
from rehearse.judge.order import misplaced
from rehearse.judge.prepared import PreparedStep, prepare
from rehearse.judge.reasons import why
from rehearse.judge.search import Ground
from rehearse.judge.settle import Settled, Settling, quoted, slipped
from rehearse.judge.slots import slots
from rehearse.judge.speech import utterances
from rehearse.judge.thresholds import Thresholds, thresholds
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.language import Language


class Assessor:
    """Judges one take of one procedure, utterance by utterance."""

    def __init__(
        self,
        procedure: Procedure,
        readers: Readers,
        language: Language,
        limits: Thresholds | None = None,
        others: Sequence[Procedure] = (),
    ) -> None:
        """A judge that has heard nothing yet.

        Args:
            procedure: what should be said.
            readers: the two readers of meaning; unused in a language that they do not read.
            language: its words, to which the procedure's own are added.
            limits: thresholds other than the shipped ones.
            others: further procedures of the shelf; what is said of theirs is named as theirs.
        """
        self.procedure = procedure
        language = language.added(procedure.words)
        known = readers if language.read_by_models else by_words(language)
        readers = in_known_words(known, language)
        self._scales = Scales(
            prepare(procedure, language), readers, language, limits or thresholds()
        )
        self._cover = Cover(self._scales.prepared.steps, language)
        self._others = tuple(others)
        self._heards: list[Heard] = []
        self.restart()

    def add(self, heard: Heard) -> None:
        """Takes in one more utterance."""
        self._heards.append(heard)

    def restart(self) -> None:
        """Forgets everything heard: the trainee starts the procedure over."""
        self._heards.clear()
        self._weighed = self._count = self._offset = 0
        self._attempts = Attempts(self._scales, self._cover)
        self._settling = Settling(self._scales, self._cover)
        self._extras = Extras(self._scales, self._others)

    def result(self) -> Result:
        """The verdicts on what was heard so far."""
        self._weigh()
        chosen = self._settling.settled(self._attempts)
        right = {i: s.narrow for i, s in chosen.items() if s.evidence.verdict is Verdict.SAID}
        marked = misplaced(right, self.procedure.predecessors)
        results = tuple(
            self._step_result(step, step.step.id in marked, chosen)
            for step in self._scales.prepared.steps
        )
        return Result(
            self.procedure.id,
            self.procedure.revision.number,
            passes(self.procedure, results),
            results,
            self._extras.found(chosen),
        )

    def _weigh(self) -> None:
        """Weighs the utterances that came since the last time; those without words are nothing."""
        margin = self._scales.thresholds.doubtful_margin
        for heard in self._heards[self._weighed :]:
            for made in utterances([heard], self._scales.language, margin):
                utterance = replace(made, index=self._count, offset=self._offset)
                self._attempts.add(Ground(utterance, self._cover, self._scales))
                self._extras.add(utterance)
                self._count += 1
                self._offset += len(utterance.spoken)
        self._weighed = len(self._heards)

    def _step_result(
        self, step: PreparedStep, misplaced: bool, chosen: Mapping[str, Settled]
    ) -> StepResult:
        language = self._scales.language
        settled = chosen.get(step.step.id)
        if settled is None:
            reason = why(step.step, None, Verdict.NOT_SAID, language)
            return StepResult(step.step.id, Verdict.NOT_SAID, 0.0, "", None, None, reason)
        evidence = settled.evidence
        others = [s.narrow for i, s in chosen.items() if i != step.step.id]
        span = quoted(settled, others, language.lexicon.stop_words)
        verdict = Verdict.OUT_OF_ORDER if misplaced else evidence.verdict
        slip = self._slip(settled) if verdict is Verdict.SAID else ""
        evidence = replace(evidence, span=span, corrected=evidence.corrected or bool(slip))
        return StepResult(
            step.step.id,
            verdict,
            round(evidence.probability, 4),
            span.text,
            span.start,
            span.end,
            why(
                step.step,
                evidence,
                verdict,
                language,
                before=self._crossed(step.step.id, chosen, earlier=True) if misplaced else "",
                after=self._crossed(step.step.id, chosen, earlier=False) if misplaced else "",
                slip=slip,
            ),
            missing=evidence.missing if verdict is Verdict.INCOMPLETE else "",
            corrected=evidence.corrected and verdict is Verdict.SAID,
            slip=slip,
        )

    def _slip(self, settled: Settled) -> str:
        """What was said before it was corrected; "" when nothing was, or nothing that decides."""
        if settled.slips:
            return settled.slips[-1].text
        language = self._scales.language
        words = slipped(settled.evidence.span, language.lexicon).split()
        return " ".join(words) if slots(language.tokens(words), language.lexicon) else ""

    def _crossed(self, step_id: str, chosen: Mapping[str, Settled], *, earlier: bool) -> str:
        """The first step that should come earlier, or later, than this one but did not."""
        here = chosen[step_id].narrow
        before = self.procedure.predecessors
        for step in self.procedure.steps:
            there = chosen.get(step.id)
            if there is None or there.evidence.verdict is not Verdict.SAID:
                continue
            if earlier and step.id in before[step_id] and there.narrow[0] >= here[1]:
                return step.say
            if not earlier and step_id in before[step.id] and here[0] >= there.narrow[1]:
                return step.say
        return ""


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
