"""A class sheet: what one instructor's checks of a day came to, and what waits for a decision."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from rehearse.paper import values as paper
from rehearse.reporting.source import Source, outcome
from rehearse.store import Kind, Record


def class_sheet(
    source: Source, instructor: str, on: date, title: str, place: str = ""
) -> paper.ClassSheet:
    """The checks that this person examined on a local date.

    Raises:
        StoreError: the actor may not read them.
    """
    zone = source.store.zone
    begin = datetime.combine(on, time(), zone)
    end = datetime.combine(on + timedelta(days=1), time(), zone)
    records = [
        record
        for record in source.store.results.every(source.actor, since=begin, until=end)
        if record.result.kind is Kind.CHECK and record.result.examiner == instructor
    ]
    shown = {record.result.element for record in records}
    columns = tuple(
        paper.Column(element.id, element.title)
        for element in source.programme.elements
        if element.id in shown
    )
    strange = sorted(shown - {column.id for column in columns})
    columns += tuple(paper.Column(name, name) for name in strange)
    candidates = dict.fromkeys(record.result.person for record in records)
    rows = [_candidate(source, person, columns, records) for person in candidates]
    return paper.ClassSheet(
        heading=source.heading(_aircraft(source, shown)),
        title=title or "Oral checks",
        held=on,
        instructor=source.person(instructor),
        columns=columns,
        candidates=tuple(sorted(rows, key=lambda row: (row.person.name, row.person.staff_number))),
        open_points=tuple(point for record in records for point in _open(source, record)),
        place=place,
        signatures=_signatures(source, records),
    )


def _aircraft(source: Source, elements: set[str]) -> list[str]:
    used = [one.aircraft for one in source.programme.elements if one.id in elements]
    return sorted({name for names in used for name in names})


def _candidate(
    source: Source, person: str, columns: Sequence[paper.Column], records: Sequence[Record]
) -> paper.Candidate:
    own = [record for record in records if record.result.person == person]
    outcomes = tuple(
        together([outcome(one) for one in own if one.result.element == column.id])
        for column in columns
    )
    remarks = [remark.text for record in own for remark in record.remarks if remark.text]
    return paper.Candidate(source.person(person), outcomes, "; ".join(remarks))


def together(outcomes: Sequence[paper.Outcome]) -> paper.Outcome | None:
    """What several checks of one element come to: all must pass; one that is failed decides."""
    for worst in (paper.Outcome.NOT_PASSED, paper.Outcome.UNCLEAR, paper.Outcome.PASSED):
        if worst in outcomes:
            return worst
    return None


def _open(source: Source, record: Record) -> list[paper.OpenPoint]:
    result = record.result
    return [
        paper.OpenPoint(
            candidate=source.person(result.person),
            element=result.element,
            step=source.say(result, step.id),
            heard=step.heard,
            second=step.start,
            take=result.take.folder if result.take else result.id,
        )
        for step in result.steps
        if record.verdicts[step.id] == "unclear"
    ]


def _signatures(source: Source, records: Sequence[Record]) -> tuple[paper.Signature, ...]:
    """One for each signing occasion, with how many of these checks it covers."""
    found: dict[str, list[Record]] = {}
    for record in records:
        if record.signature is not None:
            found.setdefault(record.signature.id, []).append(record)
    signed: list[paper.Signature] = []
    for covered in found.values():
        count = len(covered)
        covers = f"{count} of these checks" if count > 1 else covered[0].result.id
        signed += source.signature(covered[0], covers)
    return tuple(signed)
