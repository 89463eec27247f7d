"""Thresholds of hearing found from kept results of the fit voices, without sound or models. Pure.

A deciding word's flip test was kept with what it had read at first, so that what another threshold
would have made of it can be worked out: it stays as read unless its opposite fits better by
`taken`, and is in doubt when what it became fits better than its opposite by less than
`doubtful_margin` of the judge. A word that was mended before its test counts as flipped by it. A
refused utterance was kept with its words, and every one with its support. What would change the
words that are tested (`expected`, `sure` and the others that mend garbles) needs the sound again
and is not fitted here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from rehearse.bench.hearing.pipelines import OURS
from rehearse.bench.hearing.rows import TEXT, Row
from rehearse.bench.hearing.speakers import cast
from rehearse.bench.rates import Rate
from rehearse.hear.thresholds import THRESHOLDS
from rehearse.judge.thresholds import thresholds

# Whoever hears the opposite as sure may credit a step that was not said; whoever is left in doubt
# asks once more.
CONFUSED = 100  # askings that one such confusion is worth
_TAKEN = tuple(half / 2 for half in range(29))
_DOUBT = tuple(half / 2 for half in range(17))
_SUPPORT = tuple(tenth / 10 for tenth in range(-10, 21))

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Flipped:
    """Deciding words that were put to a flip test.

    for_truth: nats by which the sound prefers what was said to its opposite; shape (n,).
    read_wrong: whether the opposite stood there before the test; shape (n,).
    """

    for_truth: npt.NDArray[np.float64]
    read_wrong: Bools

    def outcome(self, taken: float, doubt: float) -> Deciding:
        """What they become at two thresholds."""
        turned = np.where(self.read_wrong, self.for_truth < taken, self.for_truth <= -taken)
        margin = np.where(turned, -self.for_truth, self.for_truth)
        doubtful = margin < doubt
        count = len(self.for_truth)
        return Deciding(
            Rate(int(np.sum(turned & ~doubtful)), count), Rate(int(np.sum(doubtful)), count)
        )


@dataclass(frozen=True)
class Deciding:
    """Deciding words at two thresholds: the opposite heard as sure, and left in doubt."""

    confused: Rate
    doubtful: Rate

    @property
    def cost(self) -> int:
        """In askings."""
        return CONFUSED * self.confused.hits + self.doubtful.hits


@dataclass(frozen=True)
class Supported:
    """Utterances by their support.

    support: nats a token; shape (n,). right: whether every deciding word is right, and confused:
    whether one is its opposite as sure, were the words let through; shape (n,).
    """

    support: npt.NDArray[np.float64]
    right: Bools
    confused: Bools

    def outcome(self, least: float) -> Deciding:
        """What comes through a threshold confused, and what is refused though it is right."""
        through = self.support >= least
        return Deciding(
            Rate(int(np.sum(self.confused & through)), len(through)),
            Rate(int(np.sum(self.right & ~through)), len(through)),
        )


def deciding_words(rows: Sequence[Row]) -> Flipped:
    """The deciding words of our own results that have a flip test."""
    found = [
        (slot.margin if slot.outcome == "right" else -slot.margin, _read_wrong(slot.read,
                                                                               slot.outcome))
        for row in rows
        for slot in row.slots
        if slot.margin is not None and slot.outcome != "lost"
    ]  # fmt: skip
    return Flipped(np.array([f for f, _ in found], float), np.array([w for _, w in found], bool))


def _read_wrong(read: str, outcome: str) -> bool:
    """Whether the opposite stood there before the test.

    Where the free reading has neither, what mending brought there stayed.
    """
    return (outcome if read == "lost" else read) == "turned"


def supported(rows: Sequence[Row]) -> Supported:
    """The utterances of our own results that have a support."""
    found = [row for row in rows if row.support is not None]
    # What was refused has no words; what was read of it stands for them.
    ends = [[slot.outcome if row.heard else slot.read for slot in row.slots] for row in found]
    doubt = thresholds().doubtful_margin
    sure = [
        any(
            end == "turned" and (slot.margin is None or slot.margin >= doubt)
            for end, slot in zip(own, row.slots, strict=True)
        )
        for own, row in zip(ends, found, strict=True)
    ]
    right = [all(end == "right" for end in own) for own in ends]
    support = [row.support for row in found]
    return Supported(np.array(support, float), np.array(right, bool), np.array(sure, bool))


def fit_lines(rows: Sequence[Row]) -> Iterator[str]:
    """The thresholds that the fit voices ask for beside the present ones, and what both give."""
    known = cast()
    ours = [row for row in rows if row.pipeline == OURS and row.condition != TEXT]
    fit = [row for row in ours if known.split(row.voice) == "fit"]
    test = [row for row in ours if known.split(row.voice) == "test"]
    voices = len({row.voice for row in fit})
    yield f"{len(fit)} utterances of {voices} fit voices; found costs least, a confusion held"
    yield f"as sure costing as much as {CONFUSED} askings; of equals the nearest to the present"
    if not fit:
        yield "no fit voice is among the results: there is nothing to fit on"
        return
    yield ""
    yield from _deciding_lines(deciding_words(fit), deciding_words(test))
    yield ""
    yield from _supported_lines(supported(fit), supported(test))
    yield ""
    yield "expected, alike, sure, vocabulary and inflected decide which words are put to the test;"
    yield "they need the sound again and stay as they are"


def best_deciding(words: Flipped) -> tuple[float, float]:
    """The thresholds `taken` and `doubtful_margin` of least cost."""
    now = _present()
    return min(
        product(_TAKEN, _DOUBT),
        key=lambda pair: (
            words.outcome(*pair).cost, abs(pair[0] - now[0]) + abs(pair[1] - now[1])
        ),
    )  # fmt: skip


def best_supported(utterances: Supported) -> float:
    """The threshold `supported` of least cost."""
    now = THRESHOLDS.supported
    return min(_SUPPORT, key=lambda least: (utterances.outcome(least).cost, abs(least - now)))


def _present() -> tuple[float, float]:
    return THRESHOLDS.taken, thresholds().doubtful_margin


def _deciding_lines(fit: Flipped, test: Flipped) -> Iterator[str]:
    pairs = {"present": _present(), "found": best_deciding(fit)}
    yield f"{'':<13}{'taken':>6}{'doubtful':>9} {'opposite held as sure':<32} in doubt"
    for voices, words in (("fit", fit), ("test", test)):
        for name, (taken, doubt) in pairs.items():
            if len(words.for_truth):
                at = words.outcome(taken, doubt)
                yield (
                    f"{voices + ', ' + name:<13}{taken:>6.1f}{doubt:>9.1f} {at.confused} "
                    f"{at.doubtful}"
                )
    yield "the fit voices with the taken found and other doubtful margins of the judge"
    taken = pairs["found"][0]
    for doubt in _DOUBT[::2]:
        at = fit.outcome(taken, doubt)
        yield f"{'':<13}{taken:>6.1f}{doubt:>9.1f} {at.confused} {at.doubtful}"


def _supported_lines(fit: Supported, test: Supported) -> Iterator[str]:
    found = {"present": THRESHOLDS.supported, "found": best_supported(fit)}
    yield f"{'':<13}{'supported':>15} {'confused, let through':<32} right, refused"
    for voices, utterances in (("fit", fit), ("test", test)):
        for name, least in found.items():
            if len(utterances.support):
                at = utterances.outcome(least)
                yield f"{voices + ', ' + name:<13}{least:>15.1f} {at.confused} {at.doubtful}"
    yield "all of these were said: what is refused of things nobody said, 'bench ghosts' tells"
