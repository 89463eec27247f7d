from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rehearse.bench.corpus import StepCase, read_corpus
from rehearse.bench.fitting import FittingError, fit, fit_lines, shipped_file, write
from rehearse.book.shelf import all_procedures
from rehearse.judge.thresholds import Thresholds, thresholds
from rehearse.judge.verdict import Verdict

Row = dict[str, Any]
Make = Callable[..., Row]
Write = Callable[..., Path]

GRID = {"said": (0.2, 0.4, 0.6, 0.8), "unclear": (0.1, 0.3)}


@pytest.fixture
def cases(write_corpus: Write, step_row: Make, book: Path) -> tuple[StepCase, ...]:
    """Sayings that stand for a reader's probability, right ones and wrong ones, and a held-out."""
    rows = [
        step_row(said=said, expect=expect)
        for said, expect in (
            ("0.9", "said"), ("0.7", "said"), ("0.65", "said"), ("0.5", "said"), ("0.25", "said"),
            ("0.55", "wrong"), ("0.1", "wrong"),
        )
    ]  # fmt: skip
    rows += [step_row(procedure="arm-door-3r", said="0.99", expect="wrong")] * 50
    procedures = {p.id: p for p in all_procedures([book])}
    return read_corpus(write_corpus(rows), procedures).steps


def judge(case: StepCase, limits: Thresholds) -> Verdict:
    """Credits from `said` up, asks back from `unclear` up, else calls it wrong."""
    probability = float(case.said)
    if probability >= limits.said:
        return Verdict.SAID
    return Verdict.UNCLEAR if probability >= limits.unclear else Verdict.WRONG


def test_the_rule_finds_the_least_cost(cases: tuple[StepCase, ...]) -> None:
    """A false credit outweighs asking back twice; a question costs less than a miss."""
    found = fit(cases, judge, replace(thresholds(), said=0.5, unclear=0.35), grid=GRID)
    assert (found.chosen.said, found.chosen.unclear) == (0.6, 0.1)
    assert found.cases == 7
    chosen = next(t for t in found.trials if t.name == "said" and t.value == 0.6)
    assert (chosen.false_credits, chosen.false_misses, chosen.asked_again) == (0, 0, 2)
    assert chosen.cost == pytest.approx(2 * 0.5 + 2 * 0.1)  # both near misses are asked about
    assert all(chosen.cost <= t.cost for t in found.trials if t.name == "said")


def test_held_out_cases_change_nothing(cases: tuple[StepCase, ...]) -> None:
    """Fifty held-out near misses credited would forbid any threshold; they are not looked at."""
    own = [case for case in cases if case.development]
    start = thresholds()
    assert fit(cases, judge, start, grid=GRID) == fit(own, judge, start, grid=GRID)
    with pytest.raises(FittingError, match="no case of a development procedure"):
        fit([case for case in cases if not case.development], judge, start, grid=GRID)


def test_nothing_is_judged_twice_for_nothing(cases: tuple[StepCase, ...]) -> None:
    """A case is judged anew only when a threshold it asked for moves; the result is the same."""
    asked: list[str] = []

    def counted(case: StepCase, limits: Thresholds) -> Verdict:
        asked.append(case.said)
        return judge(case, limits)

    start = replace(thresholds(), said=0.5, unclear=0.35)
    found = fit(cases, counted, start, grid=GRID)
    assert found == fit(cases, judge, start, grid=GRID)
    assert asked.count("0.9") == len({*GRID["said"], 0.5})  # it never comes to ask for `unclear`


def test_equal_costs_keep_the_present_value(cases: tuple[StepCase, ...]) -> None:
    """A threshold moves only for a reason."""
    start = replace(thresholds(), said=0.62, unclear=0.2)
    found = fit(cases, judge, start, grid=GRID)
    assert (found.chosen.said, found.chosen.unclear) == (0.62, 0.2)


def test_the_table_marks_what_was_chosen(cases: tuple[StepCase, ...]) -> None:
    """Each threshold has exactly one chosen value, and no line is wider than 80 columns."""
    found = fit(cases, judge, replace(thresholds(), said=0.5), grid=GRID)
    shown = list(fit_lines(found))
    assert sum(line.endswith(" *") for line in shown) == len(GRID)
    assert max(map(len, shown)) <= 80
    assert shown[-1].startswith("changed: said: 0.5 to 0.6")


def test_only_the_numbers_are_written(tmp_path: Path) -> None:
    """The file keeps its comments and the thresholds that are not fitted."""
    path = tmp_path / "thresholds.yaml"
    path.write_text(shipped_file().read_text("utf-8"), "utf-8")
    before = path.read_text("utf-8").splitlines()
    write(replace(thresholds(), said=0.123), path)
    after = path.read_text("utf-8").splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(changed) == 1
    assert changed[0][1].startswith("said: 0.123 ")
    path.write_text("said: 0.5\n")
    with pytest.raises(FittingError, match="said_critical: not there once"):
        write(thresholds(), path)
    assert path.read_text() == "said: 0.5\n"
    with pytest.raises(FittingError, match="cannot be written"):
        write(thresholds(), tmp_path / "no" / "thresholds.yaml")
