"""The evaluation of the judge as lines of plain text, 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median, quantiles

from rehearse.bench.judge import Evaluation, RecitationOutcome, StepOutcome
from rehearse.bench.plain import Alternative
from rehearse.bench.rates import Credit, Pair, Rate, confusion, credit
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
            found += ["", "plain alternatives: false credit, and rightly said but not credited"]
            found += _plain(evaluation.plain, development, steps)
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
    yield ""
    yield from _confusion(pairs)
    yield ""
    yield "verdict right, by kind of utterance; wrongly credited, wrongly missed"
    yield from _kinds(outcomes)


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
    for kind in sorted({outcome.case.kind for outcome in outcomes}):
        own = [o.pair for o in outcomes if o.case.kind == kind]
        rates = credit(own)
        slips = ", ".join(
            f"{rate.hits} {name}"
            for rate, name in (
                (rates.false_credit, "credited"),
                (rates.false_miss, "missed"),
            )
            if rate.hits
        )
        yield f"  {kind:<20}{rates.right}  {slips}".rstrip()


def _plain(
    plain: Sequence[Alternative], development: bool, outcomes: Sequence[StepOutcome]
) -> Iterator[str]:
    yield f"  {'':<37}{'all steps':>18}{'critical steps':>21}"
    yield f"  {'(at its threshold)':<37}{'credit':>9}{'missed':>9}{'credit':>12}{'missed':>9}"
    everything = credit([o.pair for o in outcomes])
    critical = credit([o.pair for o in outcomes if o.case.step.critical])
    yield _plain_line("the judge", everything, critical)
    for a in plain:
        rates = a.development if development else a.held_out
        only = a.development_critical if development else a.held_out_critical
        yield _plain_line(f"{a.name}, {a.chosen} ({a.threshold:.2f})", rates, only)


def _plain_line(name: str, rates: Credit, critical: Credit) -> str:
    """False credit, and what was rightly said but not credited, unclear or not."""

    def missed(of: Credit) -> float:
        return of.false_miss.share + of.asked_again.share

    return (
        f"  {name:<37}{rates.false_credit.share:>9.1%}{missed(rates):>9.1%}"
        f"{critical.false_credit.share:>12.1%}{missed(critical):>9.1%}"
    )


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
