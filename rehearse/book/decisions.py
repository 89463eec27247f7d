"""The file `decisions.yaml` beside procedures: advice that was weighed and left as it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rehearse.book import fields
from rehearse.book.beside import DECISIONS
from rehearse.book.faults import START, Faults, Mark, nearest, shown
from rehearse.book.fields import Placed
from rehearse.book.keys import read_keys
from rehearse.book.nodes import Node, Scalar, read_tree
from rehearse.book.shape import Entries, One, names, read_flat, required
from rehearse.book.warnings import WARNINGS

MOST = 2000


def warning_code(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """A check: the code of a warning, as lint prints it in brackets."""
    if isinstance(node, Scalar) and node.text in WARNINGS:
        return Placed(node.text, node.mark)
    text = node.text if isinstance(node, Scalar) else "this"
    close = nearest(text, WARNINGS)
    mend = f"write '{close}'" if close else "copy what lint prints in brackets"
    faults.add(node.mark, field, f"there is no warning {shown(text)}", mend)
    return None


WARNING = One("warning", warning_code, "The code that lint prints in brackets.", required=True)
PROCEDURE = One("procedure", fields.identifier, "The procedure it is about.", required=True)
STEP = One("step", fields.identifier, "The step; left out for the procedure itself.")
WHY = One("why", fields.label, "Why it stays as it is.", required=True)
WHO = One("who", fields.label, "Who decided.", required=True)
DATE = One("date", fields.day, "The day it was decided, year-month-day.", required=True)
DECISION = (WARNING, PROCEDURE, STEP, WHY, WHO, DATE)
FILE = (Entries("decisions", DECISION, "What was decided.", required=True, most=MOST),)


@dataclass(frozen=True)
class Decision:
    """One piece of advice that stays as it is. step: "" for the procedure itself."""

    warning: str
    procedure: str
    step: str
    why: str
    who: str
    date: date
    mark: Mark = START

    def __str__(self) -> str:
        return f"{self.why} ({self.who}, {self.date})"


def decisions_beside(path: Path) -> tuple[Decision, ...]:
    """The decisions in the folder of a procedure file; often none.

    Raises:
        BookError: the file of decisions has faults.
    """
    file = path.parent / DECISIONS
    return read_decisions(file) if file.exists() else ()


def read_decisions(path: Path) -> tuple[Decision, ...]:
    """The decisions in a file.

    Raises:
        BookError: it cannot be read or has faults; `problems` holds all of them.
    """
    faults = Faults(path)
    _, node = read_tree(path, faults)
    top = read_keys(node, "", names(FILE), required(FILE), faults)
    placed: tuple[Placed[Decision], ...] = ()
    if "decisions" in top:
        place = "decisions"
        placed = fields.several(top[place], place, _decision, "- {...}", faults, most=MOST)
    seen: dict[tuple[str, str, str], Mark] = {}
    for number, each in enumerate(placed, start=1):
        key = (each.value.warning, each.value.procedure, each.value.step)
        if key in seen:
            fault = f"the same was decided in line {seen[key].line}"
            faults.add(each.mark, f"decisions[{number}]", fault, "keep one of the two")
        seen[key] = each.mark
    if faults:
        raise faults.error()
    return tuple(each.value for each in placed)


def _decision(node: Node, field: str, faults: Faults) -> Placed[Decision] | None:
    values = read_flat(node, field, DECISION, faults)
    if values is None:
        return None
    return Placed(Decision(**{"step": "", **values}, mark=node.mark), node.mark)
