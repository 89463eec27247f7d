from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.judge.order import misplaced

Positions = dict[str, tuple[int, int]]
Order = dict[str, frozenset[str]]


def strict(steps: str) -> Order:
    """Each step after all before it."""
    return {step: frozenset(steps[:at]) for at, step in enumerate(steps)}


def said(steps: str) -> Positions:
    """One word a step, in this order."""
    return {step: (at, at + 1) for at, step in enumerate(steps)}


@pytest.mark.parametrize(
    ("order", "spoken", "marked"),
    [
        ("abc", "abc", ""),
        ("abc", "bac", "b"),
        ("abc", "acb", "c"),
        ("abc", "cab", "c"),
        ("abc", "bca", "a"),
        ("abc", "cba", "bc"),
        ("abcde", "abecd", "e"),
        ("abcde", "bacde", "b"),
        ("abcde", "badce", "bd"),
        ("abcdef", "defabc", "def"),
        ("abcde", "eabcd", "e"),
        ("abcde", "bcdea", "a"),
        ("abc", "ac", ""),
        ("abc", "", ""),
    ],
)
def test_the_smallest_explanation(order: str, spoken: str, marked: str) -> None:
    """The fewest steps are marked; of two equally small sets, the steps said too early."""
    assert misplaced(said(spoken), strict(order)) == frozenset(marked)


def test_free_steps_are_never_misplaced() -> None:
    """Where nothing must come first, any order is right."""
    assert misplaced(said("cba"), {step: frozenset() for step in "abc"}) == frozenset()


def test_only_what_must_come_first_counts() -> None:
    """A step that may come at any time is not marked when others are."""
    order = {"a": frozenset(), "b": frozenset("a"), "x": frozenset()}
    assert misplaced(said("xba"), order) == frozenset("b")


def test_steps_in_one_breath_that_overlap_are_in_order() -> None:
    """Two steps whose words are interleaved were not said one after the other."""
    positions = {"a": (2, 6), "b": (0, 4)}
    assert misplaced(positions, strict("ab")) == frozenset()
    assert misplaced({"a": (4, 6), "b": (0, 4)}, strict("ab")) == frozenset("b")


@st.composite
def takes(draw: st.DrawFn) -> tuple[Positions, Order]:
    """Up to seven steps under a random partial order, said at random places."""
    steps = "abcdefg"[: draw(st.integers(1, 7))]
    order: dict[str, frozenset[str]] = {}
    for at, step in enumerate(steps):
        direct = [before for before in steps[:at] if draw(st.booleans())]
        order[step] = frozenset(direct).union(*(order[before] for before in direct))
    firsts = [draw(st.integers(0, 8)) for _ in steps]
    positions = {
        step: (first, first + draw(st.integers(1, 4)))
        for step, first in zip(steps, firsts, strict=True)
        if draw(st.integers(0, 5))
    }
    return positions, order


def explanations(positions: Positions, order: Mapping[str, frozenset[str]]) -> list[frozenset[str]]:
    """All smallest sets of steps without which the rest are in order, found by trying all."""
    broken = [
        (early, late)
        for late in positions
        for early in positions
        if late in order[early] and positions[late][0] >= positions[early][1]
    ]
    for size in range(len(positions) + 1):
        found = [
            frozenset(chosen)
            for chosen in combinations(positions, size)
            if all(early in chosen or late in chosen for early, late in broken)
        ]
        if found:
            return found
    raise AssertionError("taking out every step leaves nothing out of order")


@settings(max_examples=400)
@given(takes())
def test_against_trying_everything(take: tuple[Positions, Order]) -> None:
    """The marked steps are one of the smallest explanations, the one said earliest."""
    positions, order = take
    smallest = explanations(positions, order)
    marked = misplaced(positions, order)
    assert marked in smallest

    def lateness(steps: frozenset[str]) -> int:
        return sum(positions[step][0] for step in steps)

    assert lateness(marked) == min(map(lateness, smallest))


def test_long_chains_do_not_run_out_of_stack() -> None:
    """Three hundred steps said backwards: all but one of them are marked."""
    steps = [f"s{number}" for number in range(300)]
    order = {step: frozenset(steps[:at]) for at, step in enumerate(steps)}
    positions = {step: (at, at + 1) for at, step in enumerate(reversed(steps))}
    assert len(misplaced(positions, order)) == len(steps) - 1
