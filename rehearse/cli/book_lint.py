"""What `book lint` and `book schema` do."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from pathlib import Path

from rehearse.book import reader
from rehearse.book.advice import Advice, placed
from rehearse.book.beside import AIRCRAFT, DECISIONS, LEXICON, SEALED
from rehearse.book.decided import Weighed, weigh
from rehearse.book.decisions import read_decisions
from rehearse.book.lexicon import read_lexicon
from rehearse.book.lint import advice
from rehearse.book.model import Procedure
from rehearse.book.schema import schema
from rehearse.book.sealed import read_seals
from rehearse.book.warnings import HEARD, JUDGED, WARNINGS
from rehearse.cli.common import NOT_PASSED, PASSED, UNUSABLE, complain, say
from rehearse.errors import BookError, ModelError
from rehearse.register.reader import read_register

# What lies beside procedures is read for its faults; there is no advice on it.
_BESIDE: dict[str, Callable[[Path], object]] = {
    AIRCRAFT: read_register,
    DECISIONS: read_decisions,
    LEXICON: read_lexicon,
    SEALED: read_seals,
}

Judged = Callable[[Procedure], Iterable[Advice]]


def schema_(options: argparse.Namespace) -> int:
    """Print a JSON Schema."""
    print(json.dumps(schema(options.kind), ensure_ascii=False, indent=2))
    return PASSED


def lint_(options: argparse.Namespace) -> int:
    """Every fault of some files, and advice."""
    looked_for = WARNINGS.keys() - HEARD
    judged: Judged = _judged()
    if options.words_only:
        looked_for -= JUDGED
        judged = _nothing
    status = PASSED
    for path in options.files:
        try:
            found = _linted(path, judged, looked_for)
        except BookError as error:
            complain(error)
            status = UNUSABLE
            continue
        _print(path, found)
        if any(weighed.decision is None for weighed in found):
            status = max(status, NOT_PASSED)
    return status


def _linted(path: Path, judged: Judged, looked_for: Iterable[str]) -> list[Weighed]:
    if path.name in _BESIDE:
        _BESIDE[path.name](path)
        return []
    procedure = reader.read(path)
    problems = placed(procedure, [*advice(procedure), *judged(procedure)])
    return weigh(procedure, problems, frozenset(looked_for))


def _nothing(_procedure: Procedure) -> Iterable[Advice]:
    return ()


def _judged() -> Judged:
    """Says each wording to the judge, whose models are loaded for the first procedure."""
    from rehearse.authoring.judged import judged
    from rehearse.judge.assess import Assessor
    from rehearse.language.english import English
    from rehearse.session.engine import load_readers

    readers = cache(load_readers)

    def say_all(procedure: Procedure) -> Iterable[Advice]:
        try:
            judge = Assessor(procedure, readers(), English())
        except ModelError as error:
            raise ModelError(f"{error}; or add --words-only") from error
        return judged(procedure, judge)

    return say_all


def _print(path: Path, found: Sequence[Weighed]) -> None:
    for weighed in found:
        decided = f"; decided: {weighed.decision}" if weighed.decision else ""
        say(f"{weighed.problem}{decided}")
    if not found:
        say(f"{path}: nothing to mend")
