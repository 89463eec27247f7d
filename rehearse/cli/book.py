"""Procedures listed, shown and checked: `book`."""

from __future__ import annotations

import argparse

from rehearse.book import shelf, show
from rehearse.book.model import Procedure
from rehearse.cli import book_authors
from rehearse.cli.common import PASSED, UNUSABLE, Commands, add, add_procedure, complain


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
    book_authors.add_commands(kinds)


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
    from rehearse.language import load

    return facts_page(procedure, load(procedure.language))
