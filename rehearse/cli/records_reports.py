"""What `records report` does: one report, written to a new file that only its owner may read."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path

from rehearse.book import shelf
from rehearse.cli.acting import Acting, acting, day, programme
from rehearse.cli.common import PASSED, complain, say
from rehearse.errors import RehearseError
from rehearse.paper import export
from rehearse.paper.check_record import check_record as check_draft
from rehearse.paper.class_sheet import class_sheet as class_draft
from rehearse.paper.files import file_name, save
from rehearse.paper.own_page import own_text
from rehearse.paper.own_picture import own_picture
from rehearse.paper.training_record import training_record as person_draft
from rehearse.paper.typeset import Draft, typeset
from rehearse.paper.values import CheckRecord, ClassSheet, OwnPage, Paper, TrainingRecord
from rehearse.reporting.oral import check_record
from rehearse.reporting.own import own_page
from rehearse.reporting.person import training_record
from rehearse.reporting.sheet import class_sheet
from rehearse.reporting.source import Source

Sheets = TrainingRecord | ClassSheet | CheckRecord  # those that are set as PDF
Value = Sheets | OwnPage
Made = dict[str, bytes]  # by the kind of file; one report may be two tables
PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}
KINDS = {
    "person": "training-record",
    "class": "class-sheet",
    "check": "oral-check",
    "own": "practice",
}


def report_(options: argparse.Namespace) -> int:
    """One report."""
    folder = Path(options.to)
    if not folder.is_dir():
        raise RehearseError(f"--to {folder}: there is no such folder; make it or name another")
    with acting(options) as at:
        on = day(options.on, "--on") if options.on else at.today
        source = Source(
            at.store,
            at.actor,
            programme(options, at.store),
            shelf.stock().procedures,
            datetime.now(UTC),
        )
        subject, value = _values(options, at, source)
    for kind, content in _made(value, options).items():
        ending = "txt" if options.format == "text" else options.format
        path = folder / file_name(kind, subject, on, ending)
        save(path, content)
        say(f"written to {path}")
    return PASSED


def _values(options: argparse.Namespace, at: Acting, source: Source) -> tuple[str, Value]:
    """What the report tells, and what its file is named after."""
    on = day(options.on, "--on") if options.on else at.today
    about = options.about
    match options.report:
        case "class":
            sheet = class_sheet(source, at.actor.person, on, about, options.place)
            return about or sheet.instructor.staff_number, sheet
        case "check":
            if not about:
                raise RehearseError("report check: name a RECORD, as 'records list' shows it")
            return about, check_record(source, about)
    number = about or options.acting
    person = at.person(number).id
    if options.report == "person":
        return number, training_record(source, person, on)
    return number, own_page(source, person)


def _made(value: Value, options: argparse.Namespace) -> Made:
    name, kind = KINDS[options.report], options.format
    if kind == "json":
        return {name: export.to_json(value)}
    if isinstance(value, OwnPage):
        return _own(value, name, kind)
    if kind == "csv":
        return {name: _csv(value)}
    if kind == "pdf":
        return {name: _pdf(_draft(value), PAPERS[options.paper])}
    raise RehearseError(f"report {options.report}: is made as pdf, csv or json; change --format")


def _own(page: OwnPage, name: str, kind: str) -> Made:
    match kind:
        case "text":
            return {name: own_text(page).encode()}
        case "svg":
            return {name: own_picture(page).encode()}
        case "csv":
            return {
                name: export.practices_csv(page),
                f"{name}-steps": export.practised_steps_csv(page),
            }
    raise RehearseError("report own: is a page for the screen; add --format text or svg")


def _csv(value: Sheets) -> bytes:
    match value:
        case TrainingRecord():
            return export.training_record_csv(value)
        case ClassSheet():
            return export.class_sheet_csv(value)
    return export.check_record_csv(value)


def _draft(value: Sheets) -> Draft:
    match value:
        case TrainingRecord():
            return person_draft(value)
        case ClassSheet():
            return class_draft(value)
    return check_draft(value)


def _pdf(draft: Draft, paper: Paper) -> bytes:
    printed = typeset(draft, paper)
    if printed.warning:
        complain(printed.warning)
    return printed.pdf
