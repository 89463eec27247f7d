"""The judge beside its plain alternatives at several operating points, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.bench.corpus import StepCase
from rehearse.bench.plain import JUDGE, POINTS, Method, Operating, operating
from rehearse.bench.rates import Credit

_NAME, _CELL = 18, 12


def comparison(
    methods: Sequence[Method], cases: Sequence[StepCase], *, development: bool
) -> Iterator[str]:
    """Two tables of one split, and at how many points the judge is ahead."""
    table = {
        method.name: [operating(method, cases, point) for point in POINTS] for method in methods
    }
    yield "beside plain alternatives; judge by verdict, then by probability"
    yield "the other rate where misses or false credits are kept to (best threshold here)"
    yield _header()
    for name, row in table.items():
        best = [o.best_development if development else o.best_held_out for o in row]
        yield f"  {name:<{_NAME}}" + "".join(f"{share:>{_CELL}.1%}" for share in best)
    yield from _ahead(table, development)
    if not development:
        yield "credited/not credited with the threshold that the development cases gave"
        yield _header()
        for name, row in table.items():
            yield f"  {name:<{_NAME}}" + "".join(f"{_both(o.held_out):>{_CELL}}" for o in row)


def _header() -> str:
    heads = (f"{point.share:.0%} {point.kind}" for point in POINTS)
    return " " * (_NAME + 2) + "".join(f"{head:>{_CELL}}" for head in heads)


def _both(rates: Credit) -> str:
    missed = rates.false_miss.share + rates.asked_again.share
    return f"{100 * rates.false_credit.share:.1f}/{100 * missed:.1f}"


def _ahead(table: dict[str, list[Operating]], development: bool) -> Iterator[str]:
    """At how many points the judge's other rate is below every alternative's."""

    def rate(name: str, at: int) -> float:
        row = table[name][at]
        return row.best_development if development else row.best_held_out

    others = [name for name in table if name != JUDGE]
    behind: list[str] = []
    for at, point in enumerate(POINTS):
        rivals = [name for name in others if rate(name, at) <= rate(JUDGE, at)]
        if rivals and rate(JUDGE, at) > 0:
            behind.append(f"{point.share:.0%} {point.kind} ({', '.join(rivals)})")
    ahead = f"{len(POINTS) - len(behind)} of {len(POINTS)}"
    yield f"  the judge is ahead of every alternative at {ahead} points"
    yield from (f"  not at {text}" for text in behind)
