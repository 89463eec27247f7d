"""Procedures listed, shown and checked: `book`."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.book import lint as advice
from rehearse.book import reader, shelf, show
from rehearse.book.lexicon import NAME, read_lexicon
from rehearse.book.model import Procedure
from rehearse.cli.common import (
    NOT_PASSED,
    PASSED,
    UNUSABLE,
    Commands,
    add,
    add_procedure,
    complain,
)
from rehearse.errors import BookError


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
    lint = add(kinds, "lint", "Every fault of a procedure file, and advice.")
    lint.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedure files")
    lint.set_defaults(run=_book_lint)


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


def _book_lint(options: argparse.Namespace) -> int:
    status = PASSED
    for path in options.files:
        try:
            found = [] if path.name == NAME else advice.lint(reader.read(path))
            if path.name == NAME:
                read_lexicon(path)
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
