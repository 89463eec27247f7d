"""What the printed plans share: what stands at the head of a sheet, and how large its room is."""

from __future__ import annotations

from datetime import datetime

from rehearse.paper.values import Heading, Paper
from rehearse.register.model import Register

# What `rehearse/paper/layout/sheet.typ` leaves within its margins, width and height in millimetres.
ROOM = {Paper.A4: (178.0, 248.0), Paper.LETTER: (183.9, 230.4)}
TITLE = 11.0  # millimetres of it for the title of the first sheet


def revision(register: Register) -> str:
    """Which issue of the register a drawing was made from."""
    one = register.revision
    return f"Register revision {one.number} of {one.effective.isoformat()}, {one.source}"


def heading(register: Register, made: datetime) -> Heading:
    """The head of a sheet that is made from a register. made: timezone-aware."""
    return Heading(
        operator="",
        aircraft=register.name,
        revision=revision(register),
        chain_head="",
        chain_rows=0,
        made=made,
        zone="UTC",
    )
