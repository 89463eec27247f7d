"""The judge's thresholds fitted on the development procedures by a stated rule.

The rule: the least cost, where a false credit weighs as ten false misses, a question back half of
one, and any other wrong verdict a tenth. One threshold after another is tried at every value of
its grid while the others stand, until a whole round changes nothing; of equal costs the value
nearest to the present one is kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from typing import cast

from rehearse.bench.corpus import StepCase
from rehearse.bench.rates import CREDITED, Pair
from rehearse.errors import RehearseError
from rehearse.judge.thresholds import Thresholds, thresholds
from rehearse.judge.verdict import Verdict

FALSE_CREDIT, FALSE_MISS, ASKED_AGAIN, OTHERWISE_WRONG = 10.0, 1.0, 0.5, 0.1
ROUNDS = 3  # rounds over all thresholds at most

# The thresholds that are fitted, and what is tried. The others rest on sound, not on this corpus.
GRID: Mapping[str, tuple[float, ...]] = {
    "said": (0.3, 0.4, 0.5, 0.6, 0.7),
    "said_critical": (0.5, 0.6, 0.7, 0.8, 0.85, 0.9),
    "said_polarity": (0.7, 0.8, 0.9, 0.95, 0.98),
    "unclear": (0.1, 0.2, 0.3, 0.35, 0.45),
    "seconded": (0.02, 0.05, 0.1, 0.2, 0.4),
    "objected": (0.05, 0.1, 0.2, 0.4, 0.7),
    "sure": (0.6, 0.7, 0.8, 0.9, 0.95),
}

Judge = Callable[[StepCase, Thresholds], Verdict]
Progress = Callable[[int, int], None]  # trials done, trials in a round


class FittingError(RehearseError):
    """Thresholds that cannot be fitted or written."""


@dataclass(frozen=True)
class Trial:
    """One value of one threshold with all others standing, and what it led to."""

    name: str
    value: float
    false_credits: int
    false_misses: int
    asked_again: int
    otherwise_wrong: int

    @property
    def cost(self) -> float:
        """What the rule makes of it."""
        return (
            FALSE_CREDIT * self.false_credits
            + FALSE_MISS * self.false_misses
            + ASKED_AGAIN * self.asked_again
            + OTHERWISE_WRONG * self.otherwise_wrong
        )


@dataclass(frozen=True)
class Fit:
    """The thresholds chosen, and the trials of the last round that they were chosen from."""

    before: Thresholds
    chosen: Thresholds
    trials: tuple[Trial, ...]
    cases: int


def fit(
    cases: Sequence[StepCase],
    judge: Judge,
    start: Thresholds,
    progress: Progress = lambda _done, _all: None,
    grid: Mapping[str, Sequence[float]] = GRID,
) -> Fit:
    """The thresholds with the least cost on the development cases among these.

    Args:
        cases: single steps; those of held-out procedures are passed over.
        judge: the verdict on a case with these thresholds.
        start: where the search starts.
        progress: told how many trials of a round are done.
        grid: the thresholds to fit, with the values to try besides the present one.

    Raises:
        FittingError: there is no development case.
    """
    own = [case for case in cases if case.development]
    if not own:
        raise FittingError("no case of a development procedure; fit on the corpus of the project")
    limits, trials = start, tuple[Trial, ...]()
    judged = _Judged(own, judge)
    for _ in range(ROUNDS):
        before = limits
        limits, trials = _round(judged, limits, progress, grid)
        if limits == before:
            break
    return Fit(start, limits, trials, len(own))


class _Watched:
    """Thresholds that note which of them were asked for."""

    def __init__(self, limits: Thresholds) -> None:
        self._limits = limits
        self.asked: set[str] = set()

    def __getattr__(self, name: str) -> float:
        self.asked.add(name)
        value: float = getattr(self._limits, name)
        return value


class _Judged:
    """The cases with their verdicts; a verdict is kept as long as no threshold it rests on moves.

    Exact: a case that did not ask for a threshold cannot depend on it.
    """

    def __init__(self, cases: Sequence[StepCase], judge: Judge) -> None:
        self._cases = cases
        self._judge = judge
        self._known: list[dict[tuple[tuple[str, float], ...], Verdict]] = [{} for _ in cases]

    def pairs(self, limits: Thresholds) -> list[Pair]:
        """Expected and given for every case with these thresholds."""
        return [(case.expect, self._verdict(at, limits)) for at, case in enumerate(self._cases)]

    def _verdict(self, at: int, limits: Thresholds) -> Verdict:
        for used, verdict in self._known[at].items():
            if all(getattr(limits, name) == value for name, value in used):
                return verdict
        watched = _Watched(limits)
        verdict = self._judge(self._cases[at], cast("Thresholds", watched))
        used = tuple((name, getattr(limits, name)) for name in sorted(watched.asked))
        self._known[at][used] = verdict
        return verdict


def _round(
    judged: _Judged,
    limits: Thresholds,
    progress: Progress,
    grid: Mapping[str, Sequence[float]],
) -> tuple[Thresholds, tuple[Trial, ...]]:
    """Every threshold in turn at its best value, and all that was tried."""
    trials: list[Trial] = []
    total = sum(len({*values, getattr(limits, name)}) for name, values in grid.items())
    for name, values in grid.items():
        present: float = getattr(limits, name)
        found: list[Trial] = []
        for value in sorted({*values, present}):
            tried = replace(limits, **{name: value})
            found.append(_trial(name, value, judged.pairs(tried)))
            progress(len(trials) + len(found), total)
        best = min(found, key=lambda trial: (trial.cost, abs(trial.value - present)))
        limits = replace(limits, **{name: best.value})
        trials += found
    return limits, tuple(trials)


def _trial(name: str, value: float, pairs: Sequence[Pair]) -> Trial:
    credited = misses = asked = other = 0
    for expect, given in pairs:
        if expect is given:
            continue
        if given in CREDITED and expect not in CREDITED:
            credited += 1
        elif expect in CREDITED and given is Verdict.UNCLEAR:
            asked += 1
        elif expect in CREDITED and given not in CREDITED:
            misses += 1
        else:
            other += 1
    return Trial(name, value, credited, misses, asked, other)


def fit_lines(found: Fit) -> Iterator[str]:
    """The table that the thresholds were chosen from, 80 columns wide."""
    yield f"Thresholds fitted on {found.cases} cases of the development procedures alone."
    yield (
        f"Cost: {FALSE_CREDIT:g} a false credit, {FALSE_MISS:g} a false miss, {ASKED_AGAIN:g} a "
        f"question back, {OTHERWISE_WRONG:g} another wrong"
    )
    yield "verdict. Each threshold with the others at their chosen values; * is chosen."
    heads = ("value", "credited", "missed", "asked", "otherwise", "cost")
    yield f"{'':<16}" + "".join(f"{head:>10}" for head in heads)
    last = ""
    for trial in found.trials:
        name = "" if trial.name == last else trial.name
        last = trial.name
        mark = " *" if trial.value == getattr(found.chosen, trial.name) else ""
        counts = (trial.false_credits, trial.false_misses, trial.asked_again, trial.otherwise_wrong)
        row = "".join(f"{count:>10}" for count in counts)
        yield f"{name:<16}{trial.value:>10g}{row}{trial.cost:>10.1f}{mark}"
    changed = [
        f"{name}: {getattr(found.before, name):g} to {getattr(found.chosen, name):g}"
        for name in GRID
        if getattr(found.before, name) != getattr(found.chosen, name)
    ]
    yield "changed: " + ("; ".join(changed) or "nothing")


def shipped_file() -> Path:
    """The file that holds the thresholds of this installation."""
    return Path(str(resources.files("rehearse.judge").joinpath("thresholds.yaml")))


def write(chosen: Thresholds, path: Path) -> None:
    """Puts the fitted values into the file; its comments and all other lines stay.

    Raises:
        FittingError: the file cannot be read or written, or lacks one of the thresholds.
    """
    try:
        text = path.read_text("utf-8")
        for name in GRID:
            line = re.compile(rf"^({name}:\s*)[-+.\d]+", re.MULTILINE)
            text, count = line.subn(rf"\g<1>{getattr(chosen, name):g}", text)
            if count != 1:
                raise FittingError(f"{path}: {name}: not there once; restore the file")
        beside = path.with_suffix(".new")
        beside.write_text(text, "utf-8")
        beside.replace(path)
    except OSError as error:
        raise FittingError(f"{path}: cannot be written ({error.strerror})") from None
    thresholds.cache_clear()
