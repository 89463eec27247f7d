"""What the command `records list` does; a take that is to be marked blind shows no outcome."""

from __future__ import annotations

import argparse
import heapq
import json
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from rehearse.cli.acting import Acting, acting, day
from rehearse.cli.common import PASSED, say
from rehearse.cli.records_reading import People, line, named, number_of, summary
from rehearse.store import BlindTake, Kind, Record

Row = Record | BlindTake


def list_(options: argparse.Namespace) -> int:
    """Records by time."""
    with acting(options) as at:
        people = at.everyone()
        rows: Iterator[Row] = heapq.merge(
            _chosen(at, options), _to_mark(at, options), key=_taken_at
        )
        for row in rows:
            say(_json(row, people) if options.json else _line(row, people, at.store.zone))
    return PASSED


def _json(row: Row, people: People) -> str:
    if isinstance(row, BlindTake):
        return json.dumps(blind_summary(row, people), ensure_ascii=False)
    return json.dumps(summary(row, people), ensure_ascii=False)


def _line(row: Row, people: People, zone: ZoneInfo) -> str:
    if isinstance(row, BlindTake):
        return blind_line(row, people, zone)
    return line(row, people)


def _taken_at(row: Row) -> datetime:
    return row.taken_at if isinstance(row, BlindTake) else row.result.taken_at


def _chosen(at: Acting, options: argparse.Namespace) -> Iterator[Record]:
    on = day(options.on, "--on") if options.on else None
    if options.person:
        found = at.store.results.of(at.actor, at.person(options.person).id)
    elif on is not None:
        begin = datetime.combine(on, time(), at.store.zone)
        end = datetime.combine(on + timedelta(days=1), time(), at.store.zone)
        found = at.store.results.every(at.actor, since=begin, until=end)
    else:
        found = at.store.results.every(at.actor)
    for record in found:
        waits = record.result.kind is Kind.CHECK and record.signature is None
        if on in {None, record.result.taken_on} and (waits or not options.unsigned):
            yield record


def _to_mark(at: Acting, options: argparse.Namespace) -> Iterator[BlindTake]:
    """The takes that whoever asks is to mark blind; whether they are signed is not told either."""
    on = day(options.on, "--on") if options.on else None
    person = at.person(options.person).id if options.person else None
    for take in at.store.marks.waiting(at.actor):
        if person in {None, take.person} and on in {None, _local(take, at.store.zone)}:
            yield take


def _local(take: BlindTake, zone: ZoneInfo) -> date:
    return take.taken_at.astimezone(zone).date()


def blind_line(take: BlindTake, people: People, zone: ZoneInfo) -> str:
    """A take that is to be marked blind on one line: nothing of what it came to."""
    what = f"{take.element or '-'} {take.procedure or '-'} revision {take.revision}"
    who = named(people, take.person)
    return f"{take.result}  {_local(take, zone)}  {who}  {what}  to be marked by you, blind"


def blind_summary(take: BlindTake, people: People) -> dict[str, object]:
    """The same as a JSON-ready object; `outcome` and `verdicts` are null."""
    return {
        "record": take.result,
        "person": number_of(people, take.person),
        "element": take.element,
        "procedure": take.procedure,
        "revision": take.revision,
        "method": str(take.method),
        "taken_at": take.taken_at.isoformat(),
        "outcome": None,
        "verdicts": None,
        "to_be_marked": True,
    }
