"""A procedure that is about to be written to a file, with remarks for its author."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class DraftStep:
    """One step to be written.

    id: its id, "" when the writer is to make one.
    say, also, never, reason: texts, as `rehearse.book.model.Step` has them.
    critical, command: as there. `command` may be a proposal; then a remark says so.
    remarks: comment lines above the step, one line of text each.
    """

    say: str
    id: str = ""
    critical: bool = False
    command: bool = False
    also: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    reason: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class DraftProcedure:
    """One procedure to be written.

    number, effective, source: its revision.
    passing: the line after `pass:`, "" for none.
    remarks: comment lines at the top of the file, one line of text each.
    """

    id: str
    title: str
    aircraft: str
    positions: tuple[str, ...]
    language: str
    number: int
    effective: date
    source: str
    steps: tuple[DraftStep, ...]
    passing: str = ""
    remarks: tuple[str, ...] = ()
