"""What was said beyond the steps, whether the procedure forbids it, and whose step it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from rehearse.book.model import Procedure
from rehearse.judge.claims import Opposite, anchor_of, asserted, opposite
from rehearse.judge.cover import Cover
from rehearse.judge.evidence import NEAR_NEVER, Scales
from rehearse.judge.meaning import read
from rehearse.judge.prepared import PreparedStep, Wording, prepare
from rehearse.judge.reasons import STOPS
from rehearse.judge.sequence import turned_round
from rehearse.judge.settle import Settled
from rehearse.judge.slots import WEAK, Slot, compare, slots
from rehearse.judge.speech import Span, Utterance
from rehearse.judge.terms import coverage, term
from rehearse.judge.verdict import Extra, Verdict
from rehearse.judge.wording import contradictions, said_in

CONTENT = 3  # content words a stretch needs to be worth mentioning
MOSTLY = 0.75  # share of a clause's content words that are a step's when it repeats that step
ELSEWHERE = 0.6  # least share of another procedure's step for the clause to be that step
TOLD = 0.5  # least quick probability that it was said
QUOTED = 24  # words of a clause that its reason quotes


@dataclass(frozen=True)
class _Clause:
    """One clause and what it is in itself, whatever else the take holds.

    forbidden: the step whose `never` it claims. against: the critical step it claims the opposite
    of. repeats: the steps it may repeat.
    """

    span: Span
    content: int
    forbidden: PreparedStep | None
    against: Opposite | None
    repeats: frozenset[str]


class Extras:
    """Finds what was said beyond the steps; keeps what it made of each utterance."""

    def __init__(self, scales: Scales, others: Sequence[Procedure] = ()) -> None:
        """others: further procedures, whose steps are named when they are said."""
        self._scales = scales
        self._steps = {step.step.id: step for step in scales.prepared.steps}
        self._clauses: list[_Clause] = []
        own = scales.prepared.procedure
        self._others = [o for o in others if o.id != own.id and o.language == own.language]
        self._shelf: tuple[Cover, tuple[str, ...]] | None = None
        self._titles: dict[tuple[int, int], str] = {}

    def add(self, utterance: Utterance) -> None:
        """Takes in one more utterance."""
        for first, last in pairwise(utterance.bounds):
            self._clauses.append(self._clause(utterance.span(first, last)))

    def _clause(self, span: Span) -> _Clause:
        language = self._scales.language
        stop = language.lexicon.stop_words
        said = slots(span.tokens, language.lexicon)
        about = self._scales.thresholds.about
        steps = self._scales.prepared.steps
        return _Clause(
            span,
            sum(token.form not in stop for token in span.tokens),
            self._forbidden(span, said),
            opposite(span, said, self._scales.prepared, about, language),
            frozenset(s.step.id for s in steps if self._repeats(s, span, said)),
        )

    def found(self, chosen: Mapping[str, Settled]) -> tuple[Extra, ...]:
        """Every dangerous claim, and every clause of no step, in the order of the take."""
        opposites = list(self._opposites(chosen))
        told = [(span.first, extra) for span, extra in opposites]
        taken = _Taken(
            span for settled in chosen.values() for span in (settled.evidence.span, *settled.slips)
        )
        danger = _Taken(span for span, _ in opposites)
        for clause in self._clauses:
            if danger.meets(clause.span):
                continue
            extra = self._extra(clause, chosen, taken)
            if extra is not None:
                told.append((clause.span.first, extra))
        return tuple(extra for _, extra in sorted(told, key=lambda pair: pair[0]))

    def _opposites(self, chosen: Mapping[str, Settled]) -> Iterable[tuple[Span, Extra]]:
        """Critical steps that were said wrongly, their opposite claimed."""
        for step_id, settled in chosen.items():
            step, evidence = self._steps[step_id], settled.evidence
            if (
                evidence.verdict is Verdict.WRONG
                and step.step.critical
                and evidence.heard
                and asserted(
                    evidence.span,
                    self._decides(step, evidence.span),
                    step.wordings,
                    self._scales.language,
                )
            ):
                yield evidence.span, self._opposite(evidence.span, step)

    def _decides(self, step: PreparedStep, span: Span) -> int:
        """The first token that contradicts the step."""
        against = contradictions(step, slots(span.tokens, self._scales.language.lexicon))
        return min((slot.first for _, slot in against), default=0)

    def _opposite(self, span: Span, step: PreparedStep) -> Extra:
        title = self._title(span)
        reasons = self._scales.language.lexicon.reasons
        why = reasons["dangerous_elsewhere" if title else "dangerous_step"].format(
            heard=_quote(span), say=step.step.say.rstrip(STOPS), title=title
        )
        return Extra(span.text, True, why, span.start, span.end, title)

    def _extra(self, clause: _Clause, chosen: Mapping[str, Settled], taken: _Taken) -> Extra | None:
        span = clause.span
        reasons = self._scales.language.lexicon.reasons
        if clause.against is not None and self._counts(clause.against, span, chosen):
            return self._opposite(span, clause.against.step)
        if clause.forbidden is not None and not _is_slip(clause.forbidden, span, chosen):
            why = reasons["dangerous"].format(heard=_quote(span))
            return Extra(span.text, True, why, span.start, span.end, self._title(span))
        if taken.meets(span) or clause.content < CONTENT or clause.repeats & chosen.keys():
            return None
        title = self._title(span)
        why = reasons["extra_elsewhere" if title else "extra"].format(
            heard=_quote(span), title=title
        )
        return Extra(span.text, False, why, span.start, span.end, title)

    def _counts(self, against: Opposite, span: Span, chosen: Mapping[str, Settled]) -> bool:
        """Whether the claim undoes the step instead of being a slip on the way to it."""
        settled = chosen.get(against.step.step.id)
        said = settled is not None and settled.evidence.verdict is Verdict.SAID
        after = said and settled is not None and span.first >= settled.narrow[1]
        if against.attempt:
            return after
        return after or not (against.remark or _is_slip(against.step, span, chosen))

    def _forbidden(self, span: Span, said: Sequence[Slot]) -> PreparedStep | None:
        """The step whose `never` the span claims."""
        for step in self._scales.prepared.steps:
            for never in step.never:
                if coverage(never.terms, span.tokens, self._scales.language) < NEAR_NEVER:
                    continue
                agreement = compare(never.slots, said)
                against = (*agreement.contradicted, *agreement.mixed)
                if all(slot.name in WEAK for slot in against) and self._claims(never, step, span):
                    return step
        return None

    def _claims(self, never: Wording, step: PreparedStep, span: Span) -> bool:
        scales = self._scales
        anchor = anchor_of(never, step.wordings, span, scales.language)
        if not asserted(span, anchor, (never,), scales.language, step.wordings):
            return False
        if turned_round(never, span.tokens, scales.language):
            return False
        reading = read(scales.readers.careful, [(never.text, span.text)])[0]
        if reading.said < scales.thresholds.never:
            return False
        own = read(scales.readers.careful, [(w.text, span.text) for w in step.wordings])
        return reading.said > max(r.said for r in own)

    def _repeats(self, step: PreparedStep, span: Span, said: Sequence[Slot]) -> bool:
        """Whether the span is made of the step's words, and none of them turned round."""
        language = self._scales.language
        names = [n for token in span.tokens if (n := term(token, language)) is not None]
        own = {name for w in step.wordings for name in w.terms.weights}
        joints = {word for form in language.lexicon.joints for word in form}
        content = [name for name in names if name in own or name not in joints]
        if not content or sum(name in own for name in content) < MOSTLY * len(content):
            return False
        return not contradictions(step, said)

    def _title(self, span: Span) -> str:
        """The title of the other procedure whose step the span says; "" when none."""
        key = (span.first, span.last)
        if self._others and key not in self._titles:
            self._titles[key] = self._read_title(span)
        return self._titles.get(key, "")

    def _read_title(self, span: Span) -> str:
        cover, titles = self._shelf = self._shelf or self._read_shelf()
        language = self._scales.language
        shares = cover.shares(cover.said(span.tokens))
        said = slots(span.tokens, language.lexicon)
        for at in sorted(range(len(titles)), key=lambda at: -shares[at]):
            if shares[at] < ELSEWHERE:
                return ""
            step = cover.steps[at]
            if contradictions(step, said):
                continue
            if any(said_in(w, step.wordings, span.tokens, language) for w in step.wordings):
                return titles[at]
            if read(self._scales.readers.quick, [(step.canonical.text, span.text)])[0].said >= TOLD:
                return titles[at]
        return ""

    def _read_shelf(self) -> tuple[Cover, tuple[str, ...]]:
        """The steps of the other procedures, each with its procedure's title."""
        steps = [
            (step, other.title)
            for other in self._others
            for step in prepare(other, self._scales.language).steps
        ]
        return Cover([step for step, _ in steps], self._scales.language), tuple(
            title for _, title in steps
        )


class _Taken:
    """The tokens of a take that some spans hold."""

    def __init__(self, spans: Iterable[Span]) -> None:
        self._tokens = {at for span in spans for at in range(span.first, span.last)}

    def meets(self, span: Span) -> bool:
        """Whether the span holds any of them."""
        return any(at in self._tokens for at in range(span.first, span.last))


def _is_slip(step: PreparedStep, span: Span, chosen: Mapping[str, Settled]) -> bool:
    """Whether the span is a broken saying of the step that was mended later."""
    settled = chosen.get(step.step.id)
    return settled is not None and any(slip.overlaps(span) for slip in settled.slips)


def _quote(span: Span) -> str:
    words = span.text.split()
    return " ".join(words[:QUOTED]).rstrip(STOPS) + (" ..." if len(words) > QUOTED else "")
