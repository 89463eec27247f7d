"""The evidence on every step of a take, gathered utterance by utterance and kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rehearse.judge.cover import Cover
from rehearse.judge.evidence import Evidence, Scales
from rehearse.judge.prepared import PreparedStep
from rehearse.judge.search import HOPELESS, Ground, candidates
from rehearse.judge.sparing import weighed
from rehearse.judge.speech import Span, Utterance, joined
from rehearse.judge.terms import coverage
from rehearse.judge.verdict import Verdict
from rehearse.judge.wording import said_in

SAME = 1e-9  # shares nearer than this are the same


@dataclass(frozen=True)
class Attempt:
    """Evidence on a step; `nearer` when the span says more of another step than of this one."""

    evidence: Evidence
    nearer: bool


class Attempts:
    """What each utterance of a take says of each step that was not said before it."""

    def __init__(self, scales: Scales, cover: Cover) -> None:
        self._scales, self._cover = scales, cover
        self._found: list[list[Attempt]] = [[] for _ in cover.steps]
        self._open = list(range(len(cover.steps)))
        self._last: Ground | None = None
        self._touched: frozenset[int] = frozenset()  # the steps that the last utterance may say
        self._filled = False  # whether one step took up the whole of the last utterance

    def of(self, at: int) -> Sequence[Attempt]:
        """All evidence on the step at this place, in the order of the take."""
        return self._found[at]

    def add(self, ground: Ground) -> None:
        """Weighs one more utterance; a step that was said stays said and is not weighed again."""
        spans = candidates(self._open, ground)
        owns = {at: self._weighed(at, spans.get(at, [])) for at in self._open}
        filling = {at for at, own in owns.items() if any(_fills(a, ground) for a in own)}
        if any(self._is_shout(at, ground) for at in filling):  # which is no other step's doing
            owns = {at: own if self._is_command(at) else [] for at, own in owns.items()}
        filled = bool(filling)
        apart = filled or self._filled
        for at, own in owns.items():
            if not any(map(_said, own)) and not (apart and self._cover.steps[at].step.critical):
                touched = at in spans.keys() & self._touched
                own += self._with_the_last(at, ground, own, touched=touched)
            self._found[at].extend(own)
        self._filled = filled
        self._open = [at for at in self._open if not any(map(_said, self._found[at]))]
        self._last, self._touched = ground, frozenset(spans)

    def _is_command(self, at: int) -> bool:
        return self._cover.steps[at].step.command

    def _is_shout(self, at: int, ground: Ground) -> bool:
        """Whether the utterance is long enough for this command, and for nothing beside it."""
        longest = max(len(wording.tokens) for wording in self._cover.steps[at].wordings)
        return self._is_command(at) and len(ground.utterance.spoken) <= longest

    def _weighed(self, at: int, spans: Sequence[Span]) -> list[Attempt]:
        """The evidence of the spans, likeliest first; once it was said, of what comes before."""
        found: list[Attempt] = []
        said: Span | None = None
        for span in spans:
            if said is None or span.last <= said.first:
                found.append(self._attempt(at, span))
                if said is None and _said(found[-1]):
                    said = span
        return found

    def _attempt(self, at: int, span: Span) -> Attempt:
        step = self._cover.steps[at]
        own = coverage(step.canonical.terms, span.tokens, self._scales.language)
        nearest = self._cover.nearest_other(at, self._cover.said(span.tokens))
        return Attempt(weighed(step, span, self._scales), nearest > own + SAME)

    def _with_the_last(
        self, at: int, ground: Ground, own: Sequence[Attempt], *, touched: bool
    ) -> list[Attempt]:
        """The step said over the last utterance and this one, where both may have a part in it.

        What one of them says against the step is not outweighed by what the other says of another
        step; only a correction takes it back.
        """
        last = self._last
        if last is None:
            return []
        if not (self._was_begun(at, last.utterance) or (touched and self._adds(at, last, ground))):
            return []
        before = [a for a in self._found[at] if a.evidence.span.utterance == last.utterance.index]
        against = any(_contradicts(attempt) for attempt in (*before, *own))
        return self._completed(at, last.utterance, ground.utterance, corrected=against)

    def _was_begun(self, at: int, before: Utterance) -> bool:
        """Whether a broken saying of the step lies in the utterance before."""
        return any(
            attempt.evidence.span.utterance == before.index
            and attempt.evidence.verdict is not Verdict.NOT_SAID
            for attempt in self._found[at]
        )

    def _adds(self, at: int, one: Ground, two: Ground) -> bool:
        """Whether two utterances say more of the step than either of them."""
        parts = one.all_said, two.all_said
        both = self._cover.share(at, parts[0] | parts[1])
        return both > max(self._cover.share(at, bits) for bits in parts) + SAME

    def _completed(
        self, at: int, one: Utterance, two: Utterance, *, corrected: bool
    ) -> list[Attempt]:
        """The step said over two utterances, if together they say it; else nothing new.

        corrected: only when the second takes back something of the first.
        """
        margin = self._scales.thresholds.doubtful_margin
        both = joined(one, two, self._scales.language, margin)
        if both is None or (corrected and not both.unmended):
            return []
        if not self._may_be_said(self._cover.steps[at], both):
            return []
        attempt = self._attempt(at, both)
        return [attempt] if _said(attempt) else []

    def _may_be_said(self, step: PreparedStep, span: Span) -> bool:
        if step.step.command:
            return True
        if any(
            said_in(w, step.wordings, span.tokens, self._scales.language) for w in step.wordings
        ):
            return True
        pairs = [(w.text, span.text) for w in step.wordings]
        return bool(self._scales.readers.quick.said(pairs)[:, 0].max() >= HOPELESS)


def _said(attempt: Attempt) -> bool:
    return attempt.evidence.verdict is Verdict.SAID


def _fills(attempt: Attempt, ground: Ground) -> bool:
    """Whether the whole utterance says one step, so that none of its words are another's."""
    span, utterance = attempt.evidence.span, ground.utterance
    return _said(attempt) and not attempt.nearer and len(span.spoken) == len(utterance.spoken)


def _contradicts(attempt: Attempt) -> bool:
    """Whether it says a slot of the step otherwise, and is about no other step."""
    evidence = attempt.evidence
    return evidence.verdict is Verdict.WRONG and bool(evidence.heard) and not attempt.nearer
