"""Where registers are found: beside the procedures, in the folders that those are looked for in."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rehearse.book.beside import AIRCRAFT
from rehearse.book.faults import nearest
from rehearse.book.shelf import folders
from rehearse.errors import BookError, ShelfError
from rehearse.register.model import Position, Register
from rehearse.register.reader import read_register


def find_register(aircraft: str, places: Sequence[Path] | None = None) -> Register:
    """The register of this aircraft; one in an earlier folder hides one in a later.

    Raises:
        BookError: the register has faults.
        ShelfError: there is no register of this aircraft; the nearest id is suggested.
    """
    known: dict[str, Register] = {}
    broken: list[BookError] = []
    for folder in folders() if places is None else places:
        for path in sorted(folder.rglob(AIRCRAFT)):
            try:
                register = read_register(path)
            except BookError as error:
                broken.append(error)
                continue
            known.setdefault(register.aircraft, register)
    if aircraft in known:
        return known[aircraft]
    for fault in broken:
        if fault.problems[0].path.parent.name == aircraft:
            raise fault
    close = nearest(aircraft, known)
    mend = f"did you mean '{close}'?" if close else f"there are {', '.join(known) or 'none'}"
    raise ShelfError(f"there is no register of '{aircraft}'; {mend}")


def position_of(register: Register, name: str) -> Position:
    """The crew position, in whatever case it is written. Raises ShelfError."""
    try:
        return register.position(name.upper())
    except KeyError:
        known = ", ".join(position.id for position in register.positions)
        raise ShelfError(
            f"the {register.name} has no position '{name}'; write one of {known}"
        ) from None
