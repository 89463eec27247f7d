"""Advice on a procedure that reads well but will be heard or judged badly; needs no sound."""

from __future__ import annotations

from collections.abc import Iterator

from rehearse.book import lint_order, lint_pairs, lint_steps
from rehearse.book.advice import Advice, placed
from rehearse.book.model import Procedure
from rehearse.book.sealed import seal_fault, sealed_beside
from rehearse.errors import Problem
from rehearse.language import load


def lint(procedure: Procedure) -> list[Problem]:
    """What is worth mending although the file is valid, in file order. Empty when nothing is.

    Decisions that were recorded play no part here: see `rehearse.book.decided`.

    Raises:
        BookError: the file of seals beside the procedure has faults.
        RehearseError: the procedure's language is not built in.
    """
    return placed(procedure, advice(procedure))


def advice(procedure: Procedure) -> Iterator[Advice]:
    """Every remark, in no order. Raises as `lint`."""
    language = load(procedure.language).added(procedure.words)
    yield from lint_steps.advice(procedure, language)
    yield from lint_pairs.advice(procedure, language)
    yield from lint_order.advice(procedure)
    yield from _seal(procedure)


def _seal(procedure: Procedure) -> Iterator[Advice]:
    """A sealed text that changed while its revision number did not."""
    contradiction = None
    if procedure.path is not None:
        contradiction = seal_fault(procedure, sealed_beside(procedure.path))
    if contradiction is not None:
        yield Advice("sealed", "revision.number", *contradiction)
