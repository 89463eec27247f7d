"""The evaluation of the judge as lines of plain text, 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median, quantiles

from rehearse.bench.compare import comparison
from rehearse.bench.judge import Evaluation, RecitationOutcome, StepOutcome
from rehearse.bench.rates import CREDITED, Credit, Pair, Rate, confusion, credit
from rehearse.bench.reliability import reliability
from rehearse.judge.verdict import Verdict

_SHORT = {
    Verdict.SAID: "said",
    Verdict.INCOMPLETE: "incompl",
    Verdict.WRONG: "wrong",
    Verdict.OUT_OF_ORDER: "order",
    Verdict.NOT_SAID: "not said",
    Verdict.UNCLEAR: "unclear",
}
_SPLITS = (("development procedures", True), ("held-out procedures", False))
# The near misses that the judge must never credit, counted together.
SLOT_KINDS = frozenset(
    f"near_miss_{slot}" for slot in ("state", "side", "number", "polarity", "direction")
)


def lines(evaluation: Evaluation) -> list[str]:
    """All that was measured, development and held-out procedures apart."""
    found = [
        "Shares with their Wilson 95 % intervals. Thresholds were fitted on the",
        "development procedures only; what counts is what holds on the held-out ones.",
    ]
    for name, development in _SPLITS:
        steps = [o for o in evaluation.steps if o.case.development is development]
        takes = [o for o in evaluation.recitations if o.case.development is development]
        if steps:
            found += ["", *_heading(f"Single steps, {name}"), *_steps(steps)]
            cases = [o.case for o in evaluation.steps]
            found += ["", *comparison(evaluation.methods, cases, development=development)]
        if takes:
            found += ["", *_heading(f"Recitations, {name}"), *_recitations(takes)]
    return [*found, "", *_heading("Time"), *_time(evaluation)]


def _heading(text: str) -> list[str]:
    return [text, "-" * len(text)]


def _steps(outcomes: Sequence[StepOutcome]) -> Iterator[str]:
    pairs = [outcome.pair for outcome in outcomes]
    yield from _credit("all steps", credit(pairs))
    critical = [o.pair for o in outcomes if o.case.step.critical]
    yield from _credit("critical steps", credit(critical))
    yield "what matters most"
    near = credit([o.pair for o in outcomes if o.case.kind in SLOT_KINDS])
    yield f"  near miss of a slot (*), credited          {near.false_credit}"
    short = [given for expect, given in pairs if expect is Verdict.INCOMPLETE]
    recognised = Rate(sum(given is Verdict.INCOMPLETE for given in short), len(short))
    yield f"  incomplete, recognised as incomplete       {recognised}"
    yield "  (*) of state, side, number, polarity and direction together"
    yield ""
    yield from _confusion(pairs)
    yield ""
    yield from _kinds(outcomes)
    yield ""
    yield from _reliability(outcomes)


def _credit(title: str, rates: Credit) -> Iterator[str]:
    yield f"{title}"
    yield f"  false credit (not rightly said, credited)  {rates.false_credit}"
    yield f"  false miss (rightly said, not credited)    {rates.false_miss}"
    yield f"  unclear though rightly said                {rates.asked_again}"
    yield f"  unclear, not rightly said                  {rates.left_open}"
    yield f"  exactly the expected verdict               {rates.right}"


def _confusion(pairs: Sequence[Pair]) -> Iterator[str]:
    counts = confusion(pairs)
    given = [v for v in Verdict if any(pair[1] is v for pair in counts)]
    yield "expected \\ given" + "".join(f"{_SHORT[v]:>10}" for v in given)
    for expect in Verdict:
        row = [counts[expect, v] for v in given]
        if any(row):
            yield f"{_SHORT[expect]:<16}" + "".join(f"{count or '.':>10}" for count in row)


def _kinds(outcomes: Sequence[StepOutcome]) -> Iterator[str]:
    """For each kind the share with the right verdict, credited wrongly, and missed."""
    yield f"{'by kind':<20}" + "".join(f"{t:>20}" for t in ("verdict right", "false credit",
                                                             "not credited"))  # fmt: skip
    for kind in sorted({outcome.case.kind for outcome in outcomes}):
        rates = credit([o.pair for o in outcomes if o.case.kind == kind])
        missed = Rate(rates.false_miss.hits + rates.asked_again.hits, rates.false_miss.of)
        cells = "".join(map(_cell, (rates.right, rates.false_credit, missed)))
        yield f"{kind:<20}{cells}".rstrip()


def _cell(rate: Rate) -> str:
    """Share, interval and count in twenty columns; nothing of nothing."""
    if not rate.of:
        return " " * 20
    low, high = (f"{100 * bound:.0f}" for bound in rate.interval)
    return f"{rate.share:>6.0%} {f'[{low},{high}]':<9}{rate.of:>4}"


def _reliability(outcomes: Sequence[StepOutcome]) -> Iterator[str]:
    """The reliability curve; what is meant to be unclear has no truth to compare with."""
    curve = reliability(
        [
            (o.given.probability, o.case.expect in CREDITED)
            for o in outcomes
            if o.case.expect is not Verdict.UNCLEAR
        ]
    )
    yield f"probability given, and how often it was rightly said ({curve.cases} cases)"
    for row in curve.bins:
        yield f"  {row.low:.1f} to {row.high:.1f}   mean {row.mean:.2f}   {row.rate}"
    yield f"  expected calibration error {curve.error:.1%}, Brier score {curve.brier:.3f}"


def _recitations(outcomes: Sequence[RecitationOutcome]) -> Iterator[str]:
    pairs = [pair for outcome in outcomes for pair in outcome.pairs]
    yield f"  every verdict right                        {_exact(outcomes)}"
    found = sum(len(o.found) for o in outcomes)
    marked = found + sum(len(o.missed) for o in outcomes)
    yield f"  dangerous extras found                     {Rate(found, marked)}"
    yield f"  dangerous extras reported falsely          {sum(len(o.false) for o in outcomes)}"
    yield from _credit("their steps", credit(pairs))
    critical = [
        (expect, outcome.given[step])
        for outcome in outcomes
        for step, expect in outcome.case.expect.items()
        if outcome.case.procedure.step(step).critical
    ]
    yield from _credit("their critical steps", credit(critical))
    yield ""
    yield from _confusion(pairs)
    yield ""
    yield "every verdict right, by kind of recitation"
    for kind in sorted({outcome.case.kind for outcome in outcomes}):
        own = [o for o in outcomes if o.case.kind == kind]
        yield f"  {kind:<20}{_exact(own)}"


def _exact(outcomes: Sequence[RecitationOutcome]) -> Rate:
    return Rate(sum(outcome.exact for outcome in outcomes), len(outcomes))


def _time(evaluation: Evaluation) -> Iterator[str]:
    single = [outcome.milliseconds for outcome in evaluation.steps]
    takes = [ms for outcome in evaluation.recitations for ms in outcome.milliseconds]
    for name, times in (("one utterance alone", single), ("each utterance of a take", takes)):
        if times:
            late = quantiles(times, n=20)[-1] if len(times) > 1 else times[0]
            yield f"  {name:<28}{median(times):7.0f} ms median {late:7.0f} ms 95th percentile"
