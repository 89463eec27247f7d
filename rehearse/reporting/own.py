"""A trainee's own page: every take over time, and every step that was tried."""

from __future__ import annotations

from collections.abc import Iterable

from rehearse.judge.verdict import Verdict
from rehearse.paper import values as paper
from rehearse.reporting.source import Source
from rehearse.store import Record


def own_page(source: Source, person_id: str) -> paper.OwnPage:
    """The person's practice and oral checks by what counts now.

    Raises:
        StoreError: the actor may not read it.
    """
    records = [
        record
        for record in source.store.results.of(source.actor, person_id)
        if record.result.kind != "past" and record.result.procedure
    ]
    person = source.person(person_id)
    return paper.OwnPage(
        heading=source.heading(person.aircraft),
        person=person,
        practices=tuple(_practice(source, record) for record in records),
        steps=tuple(_steps(source, records)),
    )


def _practice(source: Source, record: Record) -> paper.Practice:
    result = record.result
    return paper.Practice(
        started=result.taken_at,
        procedure=result.procedure,
        title=source.title(result.procedure),
        said=sum(verdict is Verdict.SAID for verdict in record.verdicts.values()),
        steps=len(result.steps),
        passed=record.passed,
        checked=result.kind == "check",
    )


def _steps(source: Source, records: Iterable[Record]) -> list[paper.PractisedStep]:
    tried: dict[tuple[str, str], list[Verdict]] = {}
    last: dict[tuple[str, str], tuple[Record, int]] = {}
    for record in records:
        for number, step in enumerate(record.result.steps, start=1):
            key = (record.result.procedure, step.id)
            tried.setdefault(key, []).append(record.verdicts[step.id])
            last[key] = (record, number)
    return [
        paper.PractisedStep(
            procedure=procedure,
            title=source.title(procedure),
            number=last[procedure, step][1],
            say=source.say(last[procedure, step][0].result, step),
            critical=last[procedure, step][0].result.steps[last[procedure, step][1] - 1].critical,
            verdicts=tuple(verdicts),
        )
        for (procedure, step), verdicts in tried.items()
    ]
