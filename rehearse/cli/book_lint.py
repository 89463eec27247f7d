"""What `book lint` and `book schema` do."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Collection, Iterable, Sequence
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
from rehearse.drill.files.lint import lint_drill
from rehearse.drill.files.schema import drill_schema
from rehearse.drill.files.shelf import is_drill
from rehearse.errors import BookError, ModelError
from rehearse.register.reader import read_register
from rehearse.register.schema import register_schema

# What lies beside procedures is read for its faults; there is no advice on it.
_BESIDE: dict[str, Callable[[Path], object]] = {
    AIRCRAFT: read_register,
    DECISIONS: read_decisions,
    LEXICON: read_lexicon,
    SEALED: read_seals,
}

Asked = Callable[[Procedure], Iterable[Advice]]


def schema_(options: argparse.Namespace) -> int:
    """Print a JSON Schema."""
    others = {"drill": drill_schema, "aircraft": register_schema}
    made = others[options.kind]() if options.kind in others else schema(options.kind)
    print(json.dumps(made, ensure_ascii=False, indent=2))
    return PASSED


def lint_(options: argparse.Namespace) -> int:
    """Every fault of some files, and advice."""
    looked_for = WARNINGS.keys() - HEARD - JUDGED
    asked: list[Asked] = []
    if not options.words_only:
        looked_for |= JUDGED
        asked.append(_judged())
    if options.listen:
        looked_for |= HEARD
        asked.append(_listened())
    status = PASSED
    for path in options.files:
        try:
            found = _linted(path, asked, looked_for)
        except BookError as error:
            complain(error)
            status = UNUSABLE
            continue
        _print(path, found)
        if any(weighed.decision is None for weighed in found):
            status = max(status, NOT_PASSED)
    return status


def _linted(path: Path, asked: Sequence[Asked], looked_for: Collection[str]) -> list[Weighed]:
    if path.name in _BESIDE:
        _BESIDE[path.name](path)
        return []
    if is_drill(path):
        return [Weighed(problem) for problem in lint_drill(path)]
    procedure = reader.read(path)
    more = [each for ask in asked for each in ask(procedure)]
    return weigh(procedure, placed(procedure, [*advice(procedure), *more]), looked_for)


def _judged() -> Asked:
    """Says each wording to the judge, whose models are loaded for the first procedure."""
    from rehearse.authoring.judged import judged
    from rehearse.judge.assess import Assessor
    from rehearse.language import load
    from rehearse.session.engine import load_readers

    readers = cache(load_readers)

    def say_all(procedure: Procedure) -> Iterable[Advice]:
        try:
            judge = Assessor(procedure, readers(), load(procedure.language))
        except ModelError as error:
            raise ModelError(f"{error}; or add --words-only") from error
        return judged(procedure, judge)

    return say_all


def _listened() -> Asked:
    """Lets voices say each step and hears them, with models loaded for the first procedure."""
    from rehearse.authoring.heard import misheard
    from rehearse.cli.book_listen import Ears

    ears = cache(Ears)

    def hear_all(procedure: Procedure) -> Iterable[Advice]:
        heard = [each for found in ears().listened(procedure) for each in misheard(found)]
        return [*ears().unheard(procedure), *heard]

    return hear_all


def _print(path: Path, found: Sequence[Weighed]) -> None:
    for weighed in found:
        decided = f"; decided: {weighed.decision}" if weighed.decision else ""
        say(f"{weighed.problem}{decided}")
    if not found:
        say(f"{path}: nothing to mend")
