"""What `plan` and `card` do: draw or set it, and write a new file."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path

from rehearse.book import shelf
from rehearse.cli.common import PASSED, complain, say
from rehearse.errors import RehearseError
from rehearse.paper.files import save
from rehearse.paper.typeset import Draft, typeset
from rehearse.paper.values import Paper
from rehearse.plan import svg
from rehearse.plan.drawing import plan
from rehearse.plan.equipment_map import equipment_map
from rehearse.plan.position_card import position_card
from rehearse.plan.sheet import ROOM, TITLE, revision
from rehearse.register.model import Register
from rehearse.register.shelf import find_register, position_of

PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


def plan_(options: argparse.Namespace) -> int:
    """Runs `plan`; the exit status."""
    ending = _ending(options.to, "plan", (".svg", ".pdf"))
    register = find_register(options.aircraft)
    paper = PAPERS[options.paper]
    if ending == ".svg":
        return _written(options.to, _alone(register, paper).encode())
    return _printed(options.to, equipment_map(register, paper, datetime.now(UTC)), paper)


def card_(options: argparse.Namespace) -> int:
    """Runs `card`; the exit status. Procedures that cannot be read are named and left off."""
    _ending(options.to, "card", (".pdf",))
    register = find_register(options.aircraft)
    position = position_of(register, options.position)
    found = shelf.stock()
    for fault in found.broken:
        complain(fault)
    draft = position_card(register, position, found.procedures, datetime.now(UTC))
    return _printed(options.to, draft, PAPERS[options.paper])


def _ending(path: Path, command: str, known: tuple[str, ...]) -> str:
    ending = path.suffix.lower()
    if ending not in known:
        raise RehearseError(
            f"{command}: -o {path}: no kind of file that is made; end it in {' or '.join(known)}"
        )
    return ending


def _alone(register: Register, paper: Paper) -> str:
    wide, high = ROOM[paper]
    drawing = plan(register, wide, high - TITLE)
    return svg.by_itself(drawing, f"{register.name}: cabin plan", revision(register))


def _printed(path: Path, draft: Draft, paper: Paper) -> int:
    printed = typeset(draft, paper)
    if printed.warning:
        complain(printed.warning)
    return _written(path, printed.pdf)


def _written(path: Path, content: bytes) -> int:
    save(path, content)
    say(f"written to {path}")
    return PASSED
