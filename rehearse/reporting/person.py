"""A person's training record: every element that is theirs with its last check that counts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from rehearse.paper import values as paper
from rehearse.programme.currency import Standing
from rehearse.programme.model import Element
from rehearse.programme.sweep import sweep
from rehearse.reporting.source import Source, counts, outcome
from rehearse.store import Kind, NotAcceptedError, Record, Retraining

STANDINGS = {
    "blocked": paper.Standing.RETRAINING,
    "failed": paper.Standing.NOT_PASSED,
    "never": paper.Standing.NOT_YET,
    "overdue": paper.Standing.OVERDUE,
    "stale": paper.Standing.STALE,
    "due": paper.Standing.DUE,
    "in_window": paper.Standing.IN_WINDOW,
    "current": paper.Standing.CURRENT,
}


def training_record(source: Source, person_id: str, on: date) -> paper.TrainingRecord:
    """The person's record at the end of a day, from what was checked and signed by then.

    Raises:
        StoreError: the actor may not read it.
    """
    elements = source.programme.elements
    columns = source.store.currency.columns(source.actor, elements, person_id)
    if not columns.people:
        raise NotAcceptedError(f"{person_id}: the identity was erased; there is no record by name")
    standings = sweep(columns, on, source.revisions).standings(np.arange(len(elements)))
    records = [
        record
        for record in source.store.results.of(source.actor, person_id)
        if record.result.kind is not Kind.PRACTICE and record.result.taken_on <= on
    ]
    entries = [
        entry
        for entry in source.store.retraining.entries(source.actor, person_id)
        if source.local_date(entry.failed_at) <= on
    ]
    return paper.TrainingRecord(
        heading=source.heading(columns.people[0].aircraft or ()),
        person=source.person(person_id),
        on=on,
        elements=tuple(
            _element(source, element, standing, records, entries)
            for element, standing in zip(elements, standings, strict=True)
            if standing.state in STANDINGS
        ),
    )


def _element(
    source: Source,
    element: Element,
    standing: Standing,
    records: Sequence[Record],
    entries: Sequence[Retraining],
) -> paper.ElementRecord:
    own = [record for record in records if record.result.element == element.id]
    sealed = [record for record in own if counts(record)]
    last = sealed[-1] if sealed else None
    return paper.ElementRecord(
        id=element.id,
        title=element.title,
        standing=STANDINGS[standing.state],
        rule=element.rule,
        checked=last.result.taken_on if last else None,
        method=str(last.result.method) if last else "",
        outcome=outcome(last) if last else None,
        examiner=source.someone(last.result.examiner) if last else None,
        revision=_revision(last) if last else "",
        valid_until=standing.valid_until,
        remark=_remark(own, last, standing),
        retraining=tuple(
            _retraining(source, entry, own, standing.on)
            for entry in entries
            if entry.element == element.id
        ),
        overrules=source.overrules(last) if last else (),
        signatures=source.signature(last, f"{element.title}, check of {last.result.taken_on}")
        if last
        else (),
    )


def _revision(record: Record) -> str:
    result = record.result
    return f"{result.revision} of {result.procedure}" if result.procedure else ""


def _remark(own: Sequence[Record], last: Record | None, standing: Standing) -> str:
    told = [remark.text for remark in last.remarks if remark.text] if last else []
    if last is not None and last.result.kind is Kind.PAST and last.result.steps[0].why:
        told.append(last.result.steps[0].why)
    if standing.stale:
        told.append(f"revised since: {', '.join(standing.stale)}")
    waiting = [str(record.result.taken_on) for record in own if not counts(record)]
    if waiting:
        told.append(f"not signed, so does not count: check of {', '.join(waiting)}")
    return "; ".join(told)


def _retraining(
    source: Source, entry: Retraining, own: Sequence[Record], on: date
) -> paper.Retraining:
    failed = next((record for record in own if record.result.id == entry.result), None)
    missed = [step for step, v in failed.verdicts.items() if v != "said"] if failed else []
    result = failed.result if failed else None
    what = "; ".join(source.say(result, step) for step in missed) if result else "the element"
    closed = None if entry.closed_at is None else source.local_date(entry.closed_at)
    if closed is not None and closed > on:
        closed = None
    elif entry.void:
        what = f"{what} (void: the check was corrected)"
    elif closed is not None:
        what = f"{what} ({entry.how})"
    return paper.Retraining(
        what=what,
        opened=source.local_date(entry.failed_at),
        closed=closed,
        closed_by=None if closed is None else source.someone(entry.closed_by),
    )
