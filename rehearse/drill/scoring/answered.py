"""How one answer of a stage was given, from the sayings that were meant as it. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from rehearse.drill.model import Answer
from rehearse.drill.scoring.cries import Cry
from rehearse.drill.scoring.rhythm import elapsed, longest_silence, rate, unevenness
from rehearse.drill.scoring.shouts import Said
from rehearse.drill.scoring.telling import Telling
from rehearse.drill.scoring.visits import Visit
from rehearse.drill.values import NO_BASELINE, Answered, Kind, Limits
from rehearse.events import Overflow
from rehearse.judge.order import misplaced
from rehearse.judge.verdict import Verdict
from rehearse.measured import NOT_MEASURED, Measured

UNHEARD = Measured(None, 0.0, "an earlier saying could not be made out")
ONCE = Measured(None, 0.0, "it did not have to go on")
_UNSETTLED = {Kind.FLAWED, Kind.OTHER}  # what may be a right saying that was misheard
_RANK = (Verdict.INCOMPLETE, Verdict.WRONG, Verdict.UNCLEAR, Verdict.SAID)


@dataclass(frozen=True)
class Timing:
    """What timing an answer needs besides its sayings.

    latency: of the devices; its error is one of the reaction. lost: where they lost sound.
    calm: whether levels are over the speaker's calm voice, so that limits of it can be checked.
    """

    latency: Measured
    lost: tuple[Overflow, ...]
    calm: bool


def answers(
    visit: Visit, cries: Sequence[Cry], timing: Timing, telling: Telling
) -> tuple[Answered, ...]:
    """Every answer of a stage. cries: those of this visit alone."""
    meant = {
        answer.id: [c for c in cries if c.answer == f"{visit.stage.id}.{answer.id}"]
        for answer in visit.stage.answers
    }
    right = in_order(visit, meant)
    early = too_early(visit, right)
    return tuple(
        _Given(answer, visit, cries, meant[answer.id], right[answer.id], timing, telling).answered(
            out_of_order=answer.id in early
        )
        for answer in visit.stage.answers
    )


def in_order(visit: Visit, meant: Mapping[str, Sequence[Cry]]) -> dict[str, list[Cry]]:
    """The right sayings of each answer, from the first on that follows the answer before it.

    Where none follows it all of them stand: what was said too early is told by `too_early`.
    """
    found: dict[str, list[Cry]] = {}
    since = 0.0
    for answer in visit.stage.answers:
        right = [cry for cry in meant[answer.id] if cry.kind is Kind.ANSWER]
        found[answer.id] = [cry for cry in right if cry.begun >= since] or right
        if found[answer.id]:
            since = max(since, found[answer.id][0].begun)
    return found


def too_early(visit: Visit, right: Mapping[str, Sequence[Cry]]) -> frozenset[str]:
    """The fewest answers that explain what was begun out of order."""
    ids = [answer.id for answer in visit.stage.answers]
    begun = sorted((id_ for id_ in ids if right[id_]), key=lambda id_: right[id_][0].begun)
    positions = {id_: (begun.index(id_), begun.index(id_) + 1) for id_ in ids if id_ in begun}
    before = {id_: frozenset(ids[:at]) for at, id_ in enumerate(ids)}
    return misplaced(positions, before)


@dataclass(frozen=True)
class _Given:
    """One answer with what was said of it. cries: all that was said in its stage."""

    answer: Answer
    visit: Visit
    cries: Sequence[Cry]
    meant: Sequence[Cry]
    right: Sequence[Cry]
    timing: Timing
    telling: Telling

    def answered(self, *, out_of_order: bool) -> Answered:
        verdict, best = self._verdict()
        if verdict is Verdict.SAID and out_of_order:
            verdict = Verdict.OUT_OF_ORDER
        sayings = [cry.saying for cry in self._in_a_row()]
        lost = self.timing.lost
        reaction, went_on, level = self._reaction(), self._went_on(), self._level()
        faults: tuple[str, ...] = ()
        if verdict is not Verdict.SAID:
            faults = (self.telling.verdict(self.answer.say, verdict, best),)
        if self.right:
            checked = level if self.timing.calm else NO_BASELINE
            found = self.telling.limits(self.answer, reaction, went_on, self._gap(), checked)
            faults = (*faults, *found)
        return Answered(
            answer=f"{self.visit.stage.id}.{self.answer.id}",
            say=self.answer.say,
            critical=self.answer.critical,
            verdict=verdict,
            reaction=reaction,
            count=len(self.right),
            rate=rate(sayings, lost) if sayings else NOT_MEASURED,
            unevenness=unevenness(sayings, lost) if sayings else NOT_MEASURED,
            silence=self._silence(),
            went_on=went_on,
            level=level,
            faults=faults,
            limits=Limits.of(self.answer),
        )

    def _verdict(self) -> tuple[Verdict, Said | None]:
        """By the best saying, the first of equals."""
        known = [cry for cry in self.meant if cry.said.verdict in _RANK]
        if not known:
            return Verdict.NOT_SAID, None
        best = max(known, key=lambda cry: _RANK.index(cry.said.verdict))
        return best.said.verdict, best.said

    def _reaction(self) -> Measured:
        """From the cue to the first word of the first right saying."""
        if not self.right:
            return NOT_MEASURED
        if self.visit.cue is None:
            return Measured(None, 0.0, "the cue never came")
        if any(cry.begun < self.right[0].begun for cry in self.meant if _unclear(cry)):
            return UNHEARD
        cue = Measured(self.visit.cue, self.timing.latency.error)
        return elapsed(cue, self.right[0].start, self.timing.lost)

    def _went_on(self) -> Measured:
        if not self.right:
            return NOT_MEASURED
        return elapsed(self.right[0].start, self.right[-1].end, self.timing.lost)

    def _in_a_row(self) -> list[Cry]:
        """The most right sayings in a row, with nothing between them that may have been one too.

        A saying that the recogniser lost would pass for a slow rhythm.
        """
        longest: list[Cry] = []
        run: list[Cry] = []
        for cry in self.cries:
            if cry in self.right:
                run.append(cry)
                longest = max(longest, run, key=len)
            elif cry.kind in _UNSETTLED:
                run = []
        return longest

    def _until(self) -> Measured:
        """How long it had to go on: by the limit, but not beyond the end of the stage."""
        start = self.right[0].start
        if start.value is None:
            return start
        until = start.value + self.answer.lasts
        return replace(start, value=max(start.value, min(until, self.visit.ended)))

    def _from_the_first(self, cries: Sequence[Cry]) -> list[Cry]:
        """Those that began with the first right saying or after it."""
        return [cry for cry in cries if cry.begun >= self.right[0].begun]

    def _silence(self) -> Measured:
        """The longest in which nothing was said at all while it had to go on."""
        if not self.right:
            return NOT_MEASURED
        if not self.answer.lasts:
            return ONCE
        until = self._until()
        inside = [
            cry.saying
            for cry in self._from_the_first(self.cries)
            if until.value is None or cry.begun < until.value
        ]
        found = longest_silence(inside, self.right[0].start, until, self.timing.lost)
        return found if found.value is None else replace(found, value=max(0.0, found.value))

    def _gap(self) -> Measured:
        """The longest time from one saying to the start of the next while it had to go on.

        What was not made out may have been right, and counts.
        """
        if not self.right or not self.answer.lasts:
            return ONCE
        said = [cry for cry in self.cries if cry in self.meant or cry.kind in _UNSETTLED]
        said = self._from_the_first(said)
        until = self._until().value
        between = [
            elapsed(one.start, other.start, self.timing.lost)
            for one, other in pairwise(said)
            if until is None or one.begun < until
        ]
        void = next((gap for gap in between if gap.value is None), None)
        return void or max(between, key=lambda gap: gap.value or 0.0, default=ONCE)

    def _level(self) -> Measured:
        """The median of the right sayings, with the median of their errors."""
        levels = [cry.level for cry in self.right if cry.level.value is not None]
        if not levels:
            return self.right[0].level if self.right else NOT_MEASURED
        values = [level.value for level in levels if level.value is not None]
        return Measured(median(values), median(level.error for level in levels))


def _unclear(cry: Cry) -> bool:
    return cry.said.verdict is Verdict.UNCLEAR
