"""Which evidence counts for each step, where it was said, and which words to quote for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from rehearse.judge.attempts import Attempt, Attempts
from rehearse.judge.cover import Cover
from rehearse.judge.evidence import Evidence, Scales
from rehearse.judge.prepared import PUNCTUATION
from rehearse.judge.search import narrowest
from rehearse.judge.speech import Span
from rehearse.judge.terms import coverage, term
from rehearse.judge.verdict import Verdict
from rehearse.language.lexicon import Lexicon

LIKELY = 0.5  # probability over which a doubtful saying is asked about, however much it says else
PART = 3  # content words a span must have beyond another step's saying to be an attempt of its own

Place = tuple[int, int]  # [first, last) token of the take


@dataclass(frozen=True)
class Settled:
    """What counts for one step.

    slips: the broken sayings that a right one mended, in the order of the take.
    narrow: the tokens of the take that say the step, as narrowly as known.
    """

    evidence: Evidence
    slips: tuple[Span, ...]
    narrow: Place


class Settling:
    """Settles a take, and keeps what later utterances cannot change."""

    def __init__(self, scales: Scales, cover: Cover) -> None:
        self._scales, self._cover = scales, cover
        self._narrow: dict[tuple[int, int, int], Place] = {}

    def settled(self, attempts: Attempts) -> dict[str, Settled]:
        """For each step what counts; steps that nothing speaks of are left out."""
        ids = [step.step.id for step in self._cover.steps]
        said = {at: first for at in range(len(ids)) if (first := _first_said(attempts.of(at)))}
        chosen: dict[str, Settled] = {}
        for at, step_id in enumerate(ids):
            broken = [a.evidence for a in attempts.of(at) if self._is_broken(a, at, said)]
            if at in said:
                earlier = [e for e in broken if e.span.last <= said[at].span.first]
                chosen[step_id] = self._of(at, said[at], tuple(e.span for e in earlier))
            elif broken:
                best = max(broken, key=lambda e: (round(e.about, 1), e.span.first - e.span.last))
                chosen[step_id] = self._of(at, best, ())
        return chosen

    def _of(self, at: int, evidence: Evidence, slips: tuple[Span, ...]) -> Settled:
        corrected = evidence.corrected or bool(slips)
        evidence = replace(evidence, corrected=corrected) if corrected else evidence
        return Settled(evidence, slips, self._narrowed(at, evidence.span))

    def _narrowed(self, at: int, span: Span) -> Place:
        key = (at, span.first, span.last)
        if key not in self._narrow:
            names = [term(token, self._scales.language) for token in span.tokens]
            wordings = self._cover.steps[at].wordings
            found = [p for w in wordings if (p := narrowest(w, names)) is not None]
            first, last = max(found, key=lambda p: p[1] - p[0], default=(0, len(span.spoken)))
            self._narrow[key] = (span.first + first, span.first + last)
        return self._narrow[key]

    def _is_broken(self, attempt: Attempt, at: int, said: Mapping[int, Evidence]) -> bool:
        """Whether it is a broken saying of the step, and more than the right one of another."""
        evidence = attempt.evidence
        if evidence.verdict is Verdict.UNCLEAR and evidence.probability > LIKELY:
            return True
        if attempt.nearer or evidence.verdict in {Verdict.SAID, Verdict.NOT_SAID}:
            return False
        covered: set[int] = set()
        for other, right in said.items():
            if other != at and right.span.overlaps(evidence.span):
                covered.update(range(*self._narrowed(other, right.span)))
        if not covered:
            return True
        stop = self._scales.language.lexicon.stop_words
        rest = [
            spoken.token
            for place, spoken in enumerate(evidence.span.spoken, evidence.span.first)
            if place not in covered and spoken.token.form not in stop
        ]
        canonical = self._cover.steps[at].canonical
        return len(rest) >= PART and coverage(canonical.terms, rest, self._scales.language) > 0


def _first_said(attempts: Sequence[Attempt]) -> Evidence | None:
    """The first right saying; of several spans of one utterance the likeliest, then narrowest."""
    said = [a.evidence for a in attempts if a.evidence.verdict is Verdict.SAID]
    if not said:
        return None
    first = min(e.span.utterance for e in said)
    return max(
        (e for e in said if e.span.utterance == first),
        key=lambda e: (round(e.probability, 1), e.span.first - e.span.last),
    )


def quoted(own: Settled, others: Sequence[Place], small: frozenset[str]) -> Span:
    """The words to quote: the span without what another step says before or after it.

    Args:
        own: what counts for the step.
        others: where other steps were said.
        small: words that are left out where they lead up to the next step.
    """
    span = own.evidence.span
    inside = [p for p in others if p[0] < span.last and span.first < p[1]]
    first = max((last for _, last in inside if last <= own.narrow[0]), default=span.first)
    last = min((first for first, _ in inside if first >= own.narrow[1]), default=span.last)
    first, last = max(first, span.first), min(last, span.last)
    spoken = span.spoken[first - span.first : last - span.first]
    if last < span.last:
        while last > own.narrow[1] and spoken[-1].token.form in small:
            last, spoken = last - 1, spoken[:-1]
    if not spoken or (first, last) == (span.first, span.last):
        return span
    return Span(span.utterance, first, last, spoken)


def slipped(span: Span, lexicon: Lexicon) -> str:
    """The words that the speaker took back within the span; "" when none."""
    if not span.unmended:
        return ""
    before, after = span.unmended.split(), span.text.split()
    changes = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    words = [
        word
        for kind, first, last, _, _ in changes
        if kind in {"delete", "replace"}
        for word in before[first:last]
    ]
    marking = {word for form in lexicon.correcting for word in form}
    while words and words[-1].lower().strip(PUNCTUATION) in marking:
        words.pop()
    return " ".join(words)
