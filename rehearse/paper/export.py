"""The same records as data: CSV with documented columns, JSON with everything."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import Enum

from rehearse.paper.columns import (
    CHECK_STEPS,
    CLASS_MARKS,
    ELEMENTS,
    PRACTICES,
    PRACTISED_STEPS,
    CheckRow,
    ClassMark,
    ClassRow,
    ElementRow,
    PracticeRow,
    PractisedRow,
)
from rehearse.paper.own_page import weakest
from rehearse.paper.table import to_csv
from rehearse.paper.values import (
    CheckedStep,
    CheckRecord,
    ClassSheet,
    Heading,
    OwnPage,
    TrainingRecord,
)
from rehearse.safety import NOTICE

FORMAT = 1  # of the JSON; grows when a name is changed or taken away

KINDS = {
    TrainingRecord: "training record",
    ClassSheet: "class sheet",
    CheckRecord: "oral check",
    OwnPage: "practice",
}

Data = str | int | float | bool | None | list["Data"] | dict[str, "Data"]


def training_record_csv(record: TrainingRecord) -> bytes:
    """One row an element, in programme order."""
    return to_csv(ELEMENTS, (ElementRow(record, one) for one in record.elements))


def class_sheet_csv(sheet: ClassSheet) -> bytes:
    """One row a candidate and element; the result is empty where there was no check."""
    return to_csv(CLASS_MARKS, _class_rows(sheet))


def _class_rows(sheet: ClassSheet) -> Iterator[ClassRow]:
    for candidate in sheet.candidates:
        for column, outcome in zip(sheet.columns, candidate.outcomes, strict=True):
            yield ClassRow(sheet, ClassMark(candidate, column, outcome))


def check_record_csv(record: CheckRecord) -> bytes:
    """One row a step, in the procedure's order."""
    return to_csv(CHECK_STEPS, (CheckRow(record, step) for step in record.steps))


def practices_csv(page: OwnPage) -> bytes:
    """One row a take, oldest first."""
    ordered = sorted(page.practices, key=lambda one: (one.started, one.procedure))
    return to_csv(PRACTICES, (PracticeRow(page, one) for one in ordered))


def practised_steps_csv(page: OwnPage) -> bytes:
    """One row a step, weakest first."""
    return to_csv(PRACTISED_STEPS, (PractisedRow(page, one) for one in weakest(page)))


def to_json(record: TrainingRecord | ClassSheet | CheckRecord | OwnPage) -> bytes:
    """Every value of the record under its own name, with the notice first; UTF-8.

    Days are ISO 8601 dates, moments carry their offset in the operator's zone, what is not known
    is null. A checked step also says under "counts" which verdict counts.
    """
    told = _told(record, record.heading)
    data = {"notice": NOTICE, "kind": KINDS[type(record)], "format": FORMAT}
    text = json.dumps({**data, **dict(told)}, ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode("utf-8", "backslashreplace")


def _told(value: object, heading: Heading) -> dict[str, Data]:
    if not is_dataclass(value):
        raise TypeError(f"{value!r} is no record")
    named = {one.name: _plain(getattr(value, one.name), heading) for one in fields(value)}
    return named | ({"counts": value.counts.value} if isinstance(value, CheckedStep) else {})


def _plain(value: object, heading: Heading) -> Data:
    match value:
        case Enum():
            return str(value.value)
        case datetime():
            return heading.local(value).isoformat()
        case date():
            return value.isoformat()
        case tuple():
            return [_plain(one, heading) for one in value]
        case str() | int() | float() | None:
            return value
    return _told(value, heading)
