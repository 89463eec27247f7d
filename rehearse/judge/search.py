"""Where in a take each step may have been said: the few spans worth a careful reading.

The order of the sieves is the order of their cost: shares of key terms, then the quick reader. What
they drop cannot be credited (`docs/decisions` and `rehearse bench judge` have the figures); what is
left goes to the careful reader.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from rehearse.judge.cover import Cover
from rehearse.judge.evidence import Scales
from rehearse.judge.prepared import PreparedStep, Wording
from rehearse.judge.speech import LONG, WIDEST, Span, Utterance
from rehearse.judge.terms import term

CAREFUL = 3  # spans of one utterance that the careful reader sees for one step
COVERED = 0.5  # share from which a span is read carefully whatever the quick reader thinks
LIKELY = 0.05  # least quick probability of any attempt at the step for a careful reading
BARELY = 0.2  # below this share a span that another step covers is not about the step at all
HOPELESS = 0.03  # below this quick probability of "said" no nearer step's words are this one
READ = 8  # spans of one utterance that the quick reader sees for one step
STEPS = 12  # steps that one utterance is held against by the readers
STRETCH = 150  # tokens within which a wording's narrowest window is looked for
WINDOW_WIDEST = 30  # tokens of a window
WINDOW_COST = 0.01  # coverage a token of width must be worth

_Place = tuple[int, int]  # [first, last) token of an utterance
_Found = tuple[float, _Place]  # the share of the step that is said there


@dataclass(frozen=True)
class Ground:
    """One utterance with the key terms of its tokens."""

    utterance: Utterance
    cover: Cover
    scales: Scales

    @cached_property
    def alike(self) -> tuple[int, ...]:
        """For each token the terms it says."""
        return tuple(self.cover.alike(spoken.token) for spoken in self.utterance.spoken)

    @cached_property
    def names(self) -> tuple[str | None, ...]:
        """For each token its key term."""
        return tuple(term(s.token, self.scales.language) for s in self.utterance.spoken)

    @cached_property
    def exact(self) -> tuple[int | None, ...]:
        """For each token its own term alone; 0 for a word of no step, None for no content."""
        negations = self.scales.language.lexicon.negations
        return tuple(
            0 if spoken.token.form in negations else self.cover.exact(spoken.token)
            for spoken in self.utterance.spoken
        )

    @cached_property
    def clauses(self) -> tuple[tuple[int, int, int | None], ...]:
        """For each clause the terms it says, its own terms alone, and the first content word's."""
        found: list[tuple[int, int, int | None]] = []
        bounds = self.utterance.bounds
        for first, last in pairwise(bounds):
            said = exact = 0
            for bits in self.alike[first:last]:
                said |= bits
            marks = [mark for mark in self.exact[first:last] if mark is not None]
            for mark in marks:
                exact |= mark
            found.append((said, exact, marks[0] if marks else None))
        return tuple(found)

    @cached_property
    def all_said(self) -> int:
        """The terms said by the whole utterance."""
        return self.said(0, len(self.alike))

    def said(self, first: int, last: int) -> int:
        """The terms said by these tokens."""
        bits = 0
        for token in self.alike[first:last]:
            bits |= token
        return bits


def candidates(places: Sequence[int], ground: Ground) -> dict[int, list[Span]]:
    """For each of these steps the spans in which it may have been said, most likely first.

    A step that the utterance touches has an entry, though all its spans may be ruled out.

    Args:
        places: places of the steps in the procedure, those still to be said.
        ground: the utterance.
    """
    steps = ground.cover.steps
    found = {at: _stretches(at, ground) for at in places}
    spans = {
        at: [ground.utterance.span(*place) for _, place in found[at]]
        for at in places
        if steps[at].step.command
    }
    worth = {
        at: kept
        for at in places
        if at not in spans and (kept := [f for f in found[at] if _is_worth(at, f, ground)])
    }
    ranked = sorted(worth, key=lambda at: (-max(worth[at])[0], steps[at].step.say))
    for at in ranked[:STEPS]:
        spans[at] = _likeliest(at, worth[at], ground)
    return {at: spans[at] for at in places if at in spans}


def _is_worth(at: int, found: _Found, ground: Ground) -> bool:
    """Whether the quick reader should see the stretch: not when it is all another step's."""
    share, place = found
    return share >= BARELY or ground.cover.nearest_other(at, ground.said(*place)) < COVERED


def _likeliest(at: int, found: Sequence[_Found], ground: Ground) -> list[Span]:
    """Of the stretches those that the quick reader cannot rule out."""
    step, quick = ground.cover.steps[at], ground.scales.readers.quick
    spans = [ground.utterance.span(*place) for _, place in found]
    answers = quick.said([(step.canonical.text, span.text) for span in spans])
    scored: list[tuple[float, _Place, Span]] = []
    for (share, place), span, answer in zip(found, spans, answers, strict=True):
        said, incomplete, wrong = map(float, answer[:3])
        if share >= COVERED or said + incomplete + wrong >= LIKELY:
            scored.append((said + 0.5 * (incomplete + wrong) + share, place, span))
    scored.sort(key=lambda item: -item[0])
    return [
        span
        for _, place, span in scored[:CAREFUL]
        if not _nearer_to_another(at, place, ground) or _may_be_said(step, span, ground.scales)
    ]


def _nearer_to_another(at: int, place: _Place, ground: Ground) -> bool:
    bits = ground.said(*place)
    return ground.cover.nearest_other(at, bits) > ground.cover.share(at, bits)


def _may_be_said(step: PreparedStep, span: Span, scales: Scales) -> bool:
    """Whether the quick reader takes the span for any wording of the step."""
    return any(
        float(scales.readers.quick.said([(w.text, span.text)])[0][0]) >= HOPELESS
        for w in step.wordings
    )


def _stretches(at: int, ground: Ground) -> list[_Found]:
    """The stretches that may say the step, with the share they say; those that say most if many.

    They end only where another step's words begin. A stretch cut short of what follows could lose
    the very words that deny it ("... no, the flap stays open"), so whatever no other step can
    claim stays in.
    """
    cover = ground.cover
    places = dict.fromkeys(_between_clauses(at, ground))
    places.update(dict.fromkeys(_windows(at, ground)))
    found = [(cover.share(at, ground.said(*place)), place) for place in places]
    if len(found) <= READ:
        return found
    found.sort(key=lambda item: (-item[0], item[1][1] - item[1][0], item[1][0]))
    return [item for item in found[:READ] if item[0]]


def _between_clauses(at: int, ground: Ground) -> Iterator[_Place]:
    bounds, clauses = ground.utterance.bounds, ground.clauses
    foreign = ~ground.cover.own[at]
    ends = [
        k
        for k in range(len(bounds))
        if k in {0, len(bounds) - 1} or _changes_subject(clauses[k - 1], clauses[k], foreign)
    ]
    many = len(bounds) > STRETCH  # then only those that start and end with the step's own words
    mine = [bool(said & ground.cover.own[at]) for said, _, _ in clauses]
    for number, i in enumerate(ends[:-1]):
        if many and not any(mine[i : ends[number + 1]]):
            continue
        for j in ends[number + 1 :]:
            first, last = bounds[i], bounds[j]
            if last - first > WIDEST and j > i + 1:
                break
            yield first, min(last, first + WIDEST)


def _changes_subject(
    before: tuple[int, int, int | None], after: tuple[int, int, int | None], foreign: int
) -> bool:
    """Whether a clause, or the one before it, is about another step."""
    return bool(before[1] & foreign) or bool((after[2] or 0) & foreign)


def _windows(at: int, ground: Ground) -> Iterator[_Place]:
    """In a long utterance, for each wording the window that says most of it for its length."""
    length = len(ground.utterance.spoken)
    if length <= LONG:
        return
    foreign = ~ground.cover.own[at]
    for wording in ground.cover.steps[at].wordings:
        marks = [i for i, name in enumerate(ground.names) if name in wording.terms.weights]
        for first in range(0, max(marks, default=-1) + 1, STRETCH):
            end = first + STRETCH + WINDOW_WIDEST
            near = marks[bisect_left(marks, first) : bisect_left(marks, end)]
            found = _narrowest(wording, near, ground.names)
            if found is not None:
                yield _grown(found, ground.exact, foreign)


def narrowest(wording: Wording, names: Sequence[str | None]) -> _Place | None:
    """The stretch [first, last) that says most of the wording for its length; None when none."""
    marks = [i for i, name in enumerate(names) if name in wording.terms.weights]
    return _narrowest(wording, marks, names)


def _narrowest(
    wording: Wording, marks: Sequence[int], names: Sequence[str | None]
) -> _Place | None:
    weights, total = wording.terms.weights, wording.terms.total
    kinds = len({names[i] for i in marks})
    best: tuple[float, int, int] | None = None
    for number, first in enumerate(marks):
        seen: set[str | None] = set()
        weight = 0.0
        for last in marks[number:]:
            if last - first > WINDOW_WIDEST or len(seen) == kinds:
                break
            name = names[last]
            if name in seen:
                continue
            seen.add(name)
            weight += weights[str(name)]
            score = weight / total - WINDOW_COST * (last - first + 1)
            if best is None or score > best[0]:
                best = (score, first, last + 1)
    return None if best is None else (best[1], best[2])


def _grown(found: _Place, exact: Sequence[int | None], foreign: int) -> _Place:
    """The window grown to both sides up to another step's words."""
    first, last = found
    while first > max(0, found[1] - WIDEST) and not (exact[first - 1] or 0) & foreign:
        first -= 1
    end = min(len(exact), found[0] + WIDEST)
    while last < end and not (exact[last] or 0) & foreign:
        last += 1
    first = max(first, min(found[0], last - WIDEST))
    return first, min(last, first + WIDEST)
