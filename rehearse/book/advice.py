"""One remark on a procedure that reads well but will be heard or judged badly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from rehearse.book.faults import START, Mark
from rehearse.book.model import Procedure
from rehearse.book.reader import Located, locate
from rehearse.errors import BookError, Problem


@dataclass(frozen=True)
class Advice:
    """One remark. code: a key of `rehearse.book.warnings.WARNINGS`.

    field: what it is about, named as the reader names fields (`steps[drum].say`).
    """

    code: str
    field: str
    fault: str
    mend: str


def placed(procedure: Procedure, advice: Iterable[Advice]) -> list[Problem]:
    """The advice with the places it is about, in file order.

    Places come from the file the procedure was read from; without one they are line 1, column 1.
    """
    places = _places(procedure)
    path = procedure.path or Path(procedure.id)
    return sorted(
        Problem(path, mark.line, mark.column, item.field, item.fault, item.mend, item.code)
        for item in advice
        for mark in [places.place(item.field)]
    )


def _places(procedure: Procedure) -> Located:
    """Where the fields stand. A file that changed meanwhile gives its own places, or none."""
    nowhere: Mapping[str, Mark] = {"": START}
    try:
        return Located(procedure, nowhere) if procedure.path is None else locate(procedure.path)
    except BookError:
        return Located(procedure, nowhere)
