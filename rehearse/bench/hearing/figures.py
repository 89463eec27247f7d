"""What kept results amount to: rates of what was heard and credited, thresholds, times. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from statistics import median

from rehearse.bench.hearing.rows import Row
from rehearse.bench.hearing.slots import Slot
from rehearse.bench.plain import few_false_credits, no_more_missed
from rehearse.bench.rates import CREDITED, Credit, Rate, credit
from rehearse.judge.thresholds import thresholds
from rehearse.judge.verdict import Verdict

SHORT = 5.0  # seconds: utterances up to this are those whose delay is told
LATE = 0.95


@dataclass(frozen=True)
class Rates:
    """One pipeline's results.

    exact: texts without a wrong word. words: deciding words right.
    confused: deciding words heard as their opposite and held as sure.
    credit: what was credited, missed and left unclear. rejected: texts of which nothing was heard.
    """

    exact: Rate
    words: Rate
    confused: Rate
    credit: Credit
    rejected: Rate


def rates(rows: Sequence[Row], threshold: float | None = None) -> Rates:
    """The rates of some results.

    threshold: the score from which a step counts as said, where a pipeline gives no verdict.
    """
    slots = [slot for row in rows for slot in row.slots]
    return Rates(
        Rate(sum(row.exact for row in rows), len(rows)),
        Rate(sum(slot.outcome == "right" for slot in slots), len(slots)),
        Rate(sum(map(sure_opposite, slots)), len(slots)),
        credit([(expected(row), given(row, threshold)) for row in rows]),
        Rate(sum(not row.heard for row in rows), len(rows)),
    )


def sure_opposite(slot: Slot) -> bool:
    """Whether the opposite was heard and nothing left it in doubt."""
    doubted = slot.margin is not None and slot.margin < thresholds().doubtful_margin
    return slot.outcome == "turned" and not doubted


def expected(row: Row) -> Verdict:
    """What an instructor would say of it, as far as credit goes."""
    return Verdict.SAID if row.right else Verdict.NOT_SAID


def given(row: Row, threshold: float | None) -> Verdict:
    """The pipeline's verdict, or what its score amounts to at a threshold."""
    if row.verdict:
        return Verdict(row.verdict)
    said = threshold is not None and row.score >= threshold
    return Verdict.SAID if said else Verdict.NOT_SAID


def fitted_threshold(rows: Sequence[Row]) -> float:
    """The score at which the shares of false credit and of missed credit sum up to the least."""
    scored = [(row.right, row.score) for row in rows]
    rightly = [score for right, score in scored if right]
    wrongly = [score for right, score in scored if not right]

    def cost(threshold: float) -> float:
        missed = sum(score < threshold for score in rightly) / max(1, len(rightly))
        return missed + sum(score >= threshold for score in wrongly) / max(1, len(wrongly))

    return min(sorted({score for _, score in scored}), key=cost, default=1.0)


@dataclass(frozen=True)
class Beside:
    """An alternative held to our own rates, with the thresholds that are best for it there.

    false_credit: where it leaves no more uncredited than we do. uncredited: where it credits no
    more falsely than we do. ours: our own two rates, on the same sounds.
    """

    false_credit: Rate
    uncredited: Rate
    our_false_credit: Rate
    our_uncredited: Rate


def beside(ours: Sequence[Row], theirs: Sequence[Row]) -> Beside:
    """Both pipelines on the sounds that both heard."""
    both = {_sound(row) for row in ours} & {_sound(row) for row in theirs}
    ours, theirs = ([row for row in rows if _sound(row) in both] for rows in (ours, theirs))
    own = rates(ours).credit
    scored = [(row.right, row.score) for row in theirs]
    missing = uncredited(ours, None)
    at_miss = no_more_missed(scored, missing.share)
    at_credit = few_false_credits(scored, own.false_credit.share)
    return Beside(
        rates(theirs, at_miss).credit.false_credit,
        uncredited(theirs, at_credit),
        own.false_credit,
        missing,
    )


def uncredited(rows: Sequence[Row], threshold: float | None) -> Rate:
    """Of what was rightly said, the share that got no credit: missed, or left unclear."""
    right = [row for row in rows if row.right]
    return Rate(sum(given(row, threshold) not in CREDITED for row in right), len(right))


def _sound(row: Row) -> tuple[str, str, str]:
    return row.voice, row.text, row.condition


@dataclass(frozen=True)
class Times:
    """Processor seconds of one pipeline on one thread.

    middle, late: from the end of an utterance of at most `SHORT` seconds to its text; half of them
        and 95 % take no longer. share: of hearing and judging, a second of speech.
    """

    middle: float
    late: float
    share: float
    utterances: int


def times(rows: Sequence[Row]) -> Times:
    """The times of results that sound was heard for.

    Raises:
        ValueError: there is none of a short utterance.
    """
    delays = sorted(row.delay for row in rows if 0 < row.seconds <= SHORT)
    if not delays:
        raise ValueError("no short utterance")
    spent = sum(row.cost + row.judging for row in rows)
    return Times(
        median(delays),
        delays[ceil(LATE * len(delays)) - 1],
        spent / sum(row.seconds for row in rows),
        len(delays),
    )
