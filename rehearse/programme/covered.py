"""Whether the procedures that a programme names exist and fit the element that names them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rehearse.book.faults import nearest
from rehearse.book.model import Procedure
from rehearse.errors import Problem
from rehearse.programme.model import Element
from rehearse.programme.reader import Located


def check(located: Located, procedures: Iterable[Procedure]) -> list[Problem]:
    """What is wrong between the programme and the procedures at hand, in file order."""
    by_id = {procedure.id: procedure for procedure in procedures}
    path = located.programme.path or Path(located.programme.id)
    problems: list[Problem] = []
    for element in located.programme.elements:
        for number, name in enumerate(element.procedures, start=1):
            told = _told(element, name, by_id)
            if told is not None:
                field = f"elements[{element.id}].procedures[{number}]"
                mark = located.place(field)
                problems.append(Problem(path, mark.line, mark.column, field, *told))
    return sorted(problems)


def _told(element: Element, name: str, by_id: dict[str, Procedure]) -> tuple[str, str] | None:
    """Fault and mend of one procedure of an element, or None."""
    if name not in by_id:
        close = nearest(name, by_id)
        mend = f"write '{close}'" if close else "'rehearse book list' shows what there is"
        return f"there is no procedure '{name}'", mend
    procedure = by_id[name]
    if element.aircraft and procedure.aircraft not in element.aircraft:
        fault = f"'{name}' is a procedure of the {procedure.aircraft}"
        return fault, f"add {procedure.aircraft} to the element's aircraft, or take it out"
    theirs = set(procedure.positions)
    if element.positions and theirs and theirs.isdisjoint(element.positions):
        fault = f"'{name}' is for {', '.join(procedure.positions)}, none of whom has this element"
        return fault, "mend the positions of one of the two, or take it out"
    return None
