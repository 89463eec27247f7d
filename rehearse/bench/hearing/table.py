"""The results of the hearing benchmark as plain text, 100 columns wide at most. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rehearse.bench.hearing.conditions import CONDITIONS
from rehearse.bench.hearing.figures import (
    Rates,
    beside,
    fitted_threshold,
    given,
    rates,
    sure_opposite,
    times,
)
from rehearse.bench.hearing.pipelines import OURS
from rehearse.bench.hearing.rows import TEXT, Row
from rehearse.bench.hearing.speakers import cast
from rehearse.bench.rates import CREDITED, Rate

_NAME = 17
_CELL = 15
_SHOWN = 30  # single results that are named
_HEAD = (
    f"{'':<{_NAME}}{'exact':>6}{'words':>7}"
    + "".join(f"{head:>{_CELL}}" for head in ("confused", "false credit", "false miss", "unclear"))
    + f"{'nothing':>8}"
)
_LEGEND = (
    "Per cent. exact: texts without a wrong word. words: deciding words right. confused: deciding",
    "words heard as their opposite and held as sure. false credit: of texts that do not say the",
    "critical step. false miss, unclear: of texts that say it. nothing: no words heard. After a",
    "rate its 95 % interval (Wilson).",
)


@dataclass(frozen=True)
class _Split:
    """The rows of test voices, and from which score each other pipeline credits a step."""

    rows: Sequence[Row]
    thresholds: dict[str, float]
    pipelines: tuple[str, ...]
    conditions: tuple[str, ...]

    def of(self, condition: str, pipeline: str) -> list[Row]:
        return [r for r in self.rows if r.condition == condition and r.pipeline == pipeline]

    def rates(self, rows: Sequence[Row]) -> Rates:
        return rates(rows, self.thresholds.get(rows[0].pipeline))


def lines(rows: Sequence[Row]) -> Iterator[str]:
    """Everything that the results tell; rates are those of test voices alone."""
    split = _split(rows)
    voices = {row.voice for row in rows}
    test = {row.voice for row in split.rows}
    texts = {(row.voice, row.text) for row in split.rows}
    yield f"{len(voices)} voices; figures of the {len(test)} kept for testing, {len(texts)} texts"
    if not test:
        yield "no voice among them is kept for testing: there are no figures"
        return
    yield ""
    yield _HEAD
    for condition in (TEXT, *split.conditions):
        yield from _condition(split, condition)
    yield ""
    yield from _LEGEND
    for name, threshold in split.thresholds.items():
        yield f"{name} credits from a likeness of {threshold:.3f}, fitted on the other voices"
    yield from _groups(split)
    yield from _beside(split)
    yield from _times(split)
    yield from _wrong(split)


def _split(rows: Sequence[Row]) -> _Split:
    known = cast()
    heard = {row.condition for row in rows}
    pipelines = tuple(dict.fromkeys([OURS, *(row.pipeline for row in rows)]))
    fit = [row for row in rows if known.split(row.voice) == "fit" and row.condition != TEXT]
    fitted = {
        name: fitted_threshold([row for row in fit if row.pipeline == name])
        for name in pipelines
        if name != OURS
    }
    return _Split(
        [row for row in rows if known.split(row.voice) == "test"],
        fitted,
        pipelines,
        tuple(condition for condition in CONDITIONS if condition in heard),
    )


def _condition(split: _Split, condition: str) -> Iterator[str]:
    found = [(name, split.of(condition, name)) for name in split.pipelines]
    found = [(name, rows) for name, rows in found if rows]
    if found:
        yield "the text itself, without sound" if condition == TEXT else condition
    for name, rows in found:
        yield _line(f"  {name}", split.rates(rows))


def _line(name: str, found: Rates) -> str:
    credit = found.credit
    cells = (found.confused, credit.false_credit, credit.false_miss, credit.asked_again)
    return (
        f"{name:<{_NAME}}{_share(found.exact):>6}{_share(found.words):>7}"
        + "".join(f"{_cell(rate):>{_CELL}}" for rate in cells)
        + f"{_share(found.rejected):>8}"
    )


def _share(rate: Rate) -> str:
    return f"{100 * rate.share:.1f}" if rate.of else "-"


def _cell(rate: Rate) -> str:
    if not rate.of:
        return "-"
    low, high = rate.interval
    return f"{_per_cent(rate.share)} {_per_cent(low)}-{_per_cent(high)}"


def _per_cent(share: float) -> str:
    """Two digits that matter, and no more."""
    value = 100 * share
    figures = 2 if value < 1 else 1 if value < 10 else 0
    return f"{value:.{figures}f}"


def _groups(split: _Split) -> Iterator[str]:
    known = cast()
    ours = [row for row in split.rows if row.pipeline == OURS and row.condition != TEXT]
    groups = sorted({known.group(row.voice) for row in ours})
    yield ""
    yield f"{OURS} by group of voices"
    yield _HEAD
    for group in groups:
        own = [row for row in ours if known.group(row.voice) == group]
        yield f"{group}, {len({row.voice for row in own})} voices"
        for condition in split.conditions:
            rows = [row for row in own if row.condition == condition]
            if rows:
                yield _line(f"  {condition}", rates(rows))


def _beside(split: _Split) -> Iterator[str]:
    others = [name for name in split.pipelines if name != OURS]
    if not others:
        return
    yield ""
    yield f"the others held to the rates of {OURS}, each with the threshold that is best there"
    yield (
        f"{'':<{_NAME}}{'false credit with no':>26}{'uncredited with no more':>26}"
        f"{'times those of ours':>24}"
    )
    yield f"{'':<{_NAME}}{'more uncredited than ours':>26}{'false credit than ours':>26}"
    for condition in split.conditions:
        ours = split.of(condition, OURS)
        yield condition
        for name in others:
            theirs = split.of(condition, name)
            if ours and theirs:
                found = beside(ours, theirs)
                yield (
                    f"  {name:<{_NAME - 2}}{_cell(found.false_credit):>26}"
                    f"{_cell(found.uncredited):>26}"
                    f"{_times_ours(found.false_credit, found.our_false_credit):>12}"
                    f"{_times_ours(found.uncredited, found.our_uncredited):>12}"
                )


def _times_ours(theirs: Rate, ours: Rate) -> str:
    """The ratio of two shares; where ours has no case, what half a case would make it at least."""
    if not theirs.of or not ours.of:
        return "-"
    sign, own = ("", ours.share) if ours.hits else ("over ", 0.5 / ours.of)
    return f"{sign}{theirs.share / own:.1f}" if theirs.hits else "0"


def _times(split: _Split) -> Iterator[str]:
    heard = [row for row in split.rows if row.condition != TEXT]
    by_name = {
        name: [row for row in heard if row.pipeline == name and row.seconds > 0]
        for name in split.pipelines
    }
    yield ""
    yield "processor seconds on one thread, from the end of an utterance of up to 5 s to its text"
    yield (
        f"{'':<{_NAME}}{'p50':>8}{'p95':>8}{'of ours':>10}{'share of real time':>21}"
        f"{'of ours':>10}{'utterances':>13}"
    )
    own = None
    for name, rows in by_name.items():
        try:
            found = times(rows)
        except ValueError:
            continue
        own = found if name == OURS else own
        late = f"{found.late / own.late:.2f}" if own and own.late else "-"
        share = f"{found.share / own.share:.2f}" if own and own.share else "-"
        yield (
            f"  {name:<{_NAME - 2}}{found.middle:>8.2f}{found.late:>8.2f}{late:>10}"
            f"{found.share:>21.3f}{share:>10}{found.utterances:>13}"
        )


def _wrong(split: _Split) -> Iterator[str]:
    """Our own false credits and confusions one by one.

    What the judge credits as bare text too is no fault of hearing.
    """
    bare = {
        (row.voice, row.text)
        for row in split.of(TEXT, OURS)
        if not row.right and given(row, None) in CREDITED
    }
    found = [
        f"  {row.voice}, {row.condition}, {row.procedure} {row.step}: {row.text!r} "
        f"heard as {row.heard!r}: {what}"
        for row in split.rows
        if row.pipeline == OURS and row.condition != TEXT
        for what in _faults(row, (row.voice, row.text) in bare)
    ]
    if found:
        yield ""
        yield f"false credits and confusions of {OURS}"
        yield from found[:_SHOWN]
    if len(found) > _SHOWN:
        yield f"  and {len(found) - _SHOWN} more"


def _faults(row: Row, credited_bare: bool) -> Iterator[str]:
    if not row.right and given(row, None) in CREDITED:
        yield "credited, as the bare text is" if credited_bare else "credited"
    if any(map(sure_opposite, row.slots)):
        yield "confused"
