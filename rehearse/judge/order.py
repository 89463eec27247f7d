"""Order: the smallest set of steps that explains what was said out of order."""

from __future__ import annotations

from collections.abc import Mapping


def misplaced(
    positions: Mapping[str, tuple[int, int]], predecessors: Mapping[str, frozenset[str]]
) -> frozenset[str]:
    """The fewest steps whose removal leaves the rest in order; of equals, those said too early.

    A pair is broken when a step that must come first was said wholly after the other. "Must come
    first" and "was said after" are both orders, so broken pairs form an order too, and the
    largest set without a broken pair is its largest antichain: by Dilworth and König it follows
    from a largest matching, in O(steps x broken pairs).

    Args:
        positions: for each step said rightly, where: [first, last) word of the take.
        predecessors: for each step, all that must come before it (`Procedure.predecessors`).
    """
    late = broken_pairs(positions, predecessors)
    early_of: dict[str, str] = {}  # a matching: for an early step the late step it is paired with
    for step in late:
        _augment(step, late, early_of, set())
    return _smallest_cover(late, early_of)


def broken_pairs(
    positions: Mapping[str, tuple[int, int]], predecessors: Mapping[str, frozenset[str]]
) -> dict[str, list[str]]:
    """For each step those said wholly before it though they must come after it."""
    late: dict[str, list[str]] = {step: [] for step in positions}
    for early, before in predecessors.items():
        if early in positions:
            ended = positions[early][1]
            for step in before:
                if step in positions and positions[step][0] >= ended:
                    late[step].append(early)
    place = {step: at for at, step in enumerate(positions)}
    return {step: sorted(earlies, key=place.__getitem__) for step, earlies in late.items()}


def _augment(
    step: str, late: Mapping[str, list[str]], early_of: dict[str, str], tried: set[str]
) -> bool:
    """Kuhn's search for an alternating path, without recursion over long chains of steps."""
    stack = [(step, iter(late[step]))]
    path: list[tuple[str, str]] = []
    while stack:
        current, choices = stack[-1]
        early = next((e for e in choices if e not in tried), None)
        if early is None:
            stack.pop()
            if path:
                path.pop()
            continue
        tried.add(early)
        path.append((current, early))
        if early not in early_of:
            early_of.update({early_step: late_step for late_step, early_step in path})
            return True
        stack.append((early_of[early], iter(late[early_of[early]])))
    return False


def _smallest_cover(late: Mapping[str, list[str]], early_of: Mapping[str, str]) -> frozenset[str]:
    """König's cover, grown from the free early side so that early steps are preferred."""
    lates_of: dict[str, list[str]] = {}
    for step, earlies in late.items():
        for early in earlies:
            lates_of.setdefault(early, []).append(step)
    paired_early = {late_step: early for early, late_step in early_of.items()}
    reached_early = {early for early in lates_of if early not in early_of}
    reached_late: set[str] = set()
    frontier = list(reached_early)
    while frontier:
        for step in lates_of[frontier.pop()]:
            if step not in reached_late:
                reached_late.add(step)
                pair = paired_early.get(step)
                if pair is not None and pair not in reached_early:
                    reached_early.add(pair)
                    frontier.append(pair)
    return frozenset(reached_late | (set(early_of) - reached_early))
