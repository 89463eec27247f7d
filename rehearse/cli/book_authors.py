"""What authors of procedures type: every command of `book` but `list` and `show`."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.cli.common import ROLES, Commands, add, add_programme, add_store, later


def add_commands(kinds: Commands) -> None:
    """Those of `book` that make, compare, seal and check files."""
    _add_new(kinds)
    _add_import(kinds)
    _add_diff(kinds)
    _add_freeze(kinds)
    _add_schema(kinds)
    _add_lint(kinds)
    _add_listen(kinds)


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


def _add_freeze(kinds: Commands) -> None:
    seal = add(kinds, "freeze", "Seal revisions: a text is then changed under a new number only.")
    seal.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedure files")
    seal.set_defaults(run=later("book_freeze:freeze_"))


def _add_schema(kinds: Commands) -> None:
    schema = add(kinds, "schema", "A JSON Schema with which an editor helps to write these files.")
    kinds_of = ("procedure", "drill", "aircraft", "lexicon", "decisions", "sealed")
    schema.add_argument(
        "kind", nargs="?", choices=kinds_of, default="procedure", help="which file; else procedure"
    )
    schema.set_defaults(run=later("book_lint:schema_"))


def _add_lint(kinds: Commands) -> None:
    lint = add(kinds, "lint", "Every fault of a procedure or drill file, and advice.")
    lint.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedures or drills")
    lint.add_argument(
        "--words-only",
        action="store_true",
        help="quickly: do not say each wording to the judge to see what it is taken for",
    )
    lint.add_argument(
        "--listen", action="store_true", help="slowly: let voices say each step and hear them"
    )
    lint.set_defaults(run=later("book_lint:lint_"))


def _add_listen(kinds: Commands) -> None:
    listen = add(kinds, "listen", "How well each step is heard, said by several synthetic voices.")
    listen.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedure files")
    listen.set_defaults(run=later("book_listen:listen_"))
