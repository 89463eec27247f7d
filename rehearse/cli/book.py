"""Procedures listed, shown and checked: `book`."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from rehearse.book import lint as advice
from rehearse.book import reader, shelf, show
from rehearse.book.beside import AIRCRAFT
from rehearse.book.lexicon import NAME, read_lexicon
from rehearse.book.model import Procedure
from rehearse.cli.common import (
    NOT_PASSED,
    PASSED,
    ROLES,
    UNUSABLE,
    Commands,
    add,
    add_procedure,
    add_programme,
    add_store,
    complain,
    later,
)
from rehearse.errors import BookError, Problem
from rehearse.register.reader import read_register


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    book = add(commands, "book", "List, show and check procedures.")
    kinds = book.add_subparsers(dest="book_command", required=True, metavar="WHAT")
    listing = add(kinds, "list", "The procedures that are found.")
    listing.set_defaults(run=_book_list)
    page = add(kinds, "show", "One procedure, step by step.")
    add_procedure(page)
    page.add_argument(
        "--facts",
        action="store_true",
        help="what the judge will demand of each step, so that the file can be corrected",
    )
    page.set_defaults(run=_book_show)
    _add_new(kinds)
    _add_import(kinds)
    _add_diff(kinds)
    seal = add(kinds, "freeze", "Seal revisions: a text is then changed under a new number only.")
    seal.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedure files")
    seal.set_defaults(run=later("book_freeze:freeze_"))
    schema = add(kinds, "schema", "A JSON Schema with which an editor helps to write these files.")
    kinds_of = ("procedure", "lexicon", "decisions", "sealed")
    schema.add_argument(
        "kind", nargs="?", choices=kinds_of, default="procedure", help="which file; else procedure"
    )
    schema.set_defaults(run=_book_schema)
    lint = add(kinds, "lint", "Every fault of a procedure file, and advice.")
    lint.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedure files")
    lint.set_defaults(run=_book_lint)


def _add_new(kinds: Commands) -> None:
    new = add(kinds, "new", "Begin a procedure: a commented file, valid as it stands.")
    new.add_argument("name", help="the procedure's id: letters, digits and hyphens")
    new.add_argument("--title", default="", help="what it is called; else made from the id")
    _add_target(new)
    new.set_defaults(run=later("book_new:new_"))


def _add_import(kinds: Commands) -> None:
    take = add(kinds, "import", "Take over a manual's lists as procedures, and say what to decide.")
    take.add_argument(
        "file",
        type=Path,
        metavar="FILE",
        help="Markdown, plain text, CSV or XLSX (docs/authors.md)",
    )
    _add_target(take)
    take.add_argument("--sheet", default="", help="the sheet of an XLSX file; else the first")
    take.add_argument(
        "--manual", default="", metavar="NAME", help="what paragraph numbers are cited with, as CSM"
    )
    take.add_argument("--revision", type=int, default=1, metavar="N", help="its number; else 1")
    take.set_defaults(run=later("book_new:import_"))


def _add_diff(kinds: Commands) -> None:
    diff = add(kinds, "diff", "What differs between two revisions, and whose results become stale.")
    diff.add_argument("old", metavar="OLD", help="a procedure file, an id, or a folder of files")
    diff.add_argument("new", metavar="NEW", help="the same in its new revision")
    add_store(diff)
    diff.add_argument(
        "--as", dest="acting", default="", metavar="STAFFNUMBER",
        help="who you are: tells whose results become stale; the PIN is asked for",
    )  # fmt: skip
    diff.add_argument("--role", choices=ROLES, help="as what you act, when you have several roles")
    add_programme(diff)
    diff.set_defaults(run=later("book_diff:diff_"))


def _add_target(command: argparse.ArgumentParser) -> None:
    """What new files belong to and where they go."""
    command.add_argument("--aircraft", required=True, metavar="ID", help="the aircraft's id")
    command.add_argument(
        "--positions", nargs="+", default=[], metavar="C4", help="crew positions; else every one"
    )
    command.add_argument("--language", default="en", metavar="CODE", help="the language; else en")
    command.add_argument(
        "--effective", default="", metavar="DAY", help="the revision's day, 2026-12-01; else today"
    )
    command.add_argument(
        "-o", "--into", type=Path, default=Path(), metavar="FOLDER", help="where to; else here"
    )
    command.add_argument("--replace", action="store_true", help="overwrite files that are there")


def _book_list(_options: argparse.Namespace) -> int:
    found = shelf.stock()
    for line in show.listing(found.procedures):
        print(line)
    for error in found.broken:
        complain(error)
    return UNUSABLE if found.broken else PASSED


def _book_show(options: argparse.Namespace) -> int:
    procedure = shelf.find(options.procedure)
    for line in _facts(procedure) if options.facts else show.page(procedure):
        print(line)
    return PASSED


def _facts(procedure: Procedure) -> list[str]:
    from rehearse.judge.facts_page import facts_page
    from rehearse.language.english import English

    return facts_page(procedure, English())


def _linted(path: Path) -> list[Problem]:
    """Advice on a procedure file; what lies beside procedures is only checked."""
    if path.name == NAME:
        read_lexicon(path)
        return []
    if path.name == AIRCRAFT:
        read_register(path)
        return []
    return advice.lint(reader.read(path))


def _book_schema(options: argparse.Namespace) -> int:
    from rehearse.book.schema import schema

    print(json.dumps(schema(options.kind), ensure_ascii=False, indent=2))
    return PASSED


def _book_lint(options: argparse.Namespace) -> int:
    status = PASSED
    for path in options.files:
        try:
            found = _linted(path)
        except BookError as error:
            complain(error)
            status = UNUSABLE
            continue
        for problem in found:
            print(problem)
        if found:
            status = max(status, NOT_PASSED)
        else:
            print(f"{path}: nothing to mend")
    return status
