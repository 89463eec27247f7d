"""The file `sealed.yaml` beside procedures: which revisions were sealed, with their checksums."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rehearse.book import fields
from rehearse.book.beside import SEALED
from rehearse.book.faults import Faults, shown
from rehearse.book.fields import Placed
from rehearse.book.keys import read_keys
from rehearse.book.model import Procedure
from rehearse.book.nodes import Node, Scalar, read_tree
from rehearse.book.seal import checksum
from rehearse.book.shape import Entries, One, names, read_flat, required

MOST = 50_000
SUM = re.compile(r"[0-9a-f]{64}")


def seal_sum(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """A check: a SHA-256 sum, as it is written."""
    if isinstance(node, Scalar) and SUM.fullmatch(node.text):
        return Placed(node.text, node.mark)
    told = shown(node.text) if isinstance(node, Scalar) else "this"
    mend = "put the line back as 'rehearse book freeze' wrote it"
    faults.add(node.mark, field, f"{told} is no SHA-256 sum of 64 digits", mend)
    return None


PROCEDURE = One("procedure", fields.identifier, "The sealed procedure.", required=True)
REVISION = One("revision", fields.whole_number, "Its revision number.", required=True)
SHA256 = One("sha256", seal_sum, "The sum over its canonical content.", required=True)
DATE = One("date", fields.day, "The day it was sealed.", required=True)
SEAL = (PROCEDURE, REVISION, SHA256, DATE)
FILE = (Entries("sealed", SEAL, "What was sealed.", required=True, most=MOST),)


@dataclass(frozen=True, order=True)
class Seal:
    """One sealed revision. sha256: over its canonical content; date: the day it was sealed."""

    procedure: str
    revision: int
    sha256: str
    date: date


def sealed_beside(path: Path) -> tuple[Seal, ...]:
    """The seals in the folder of a procedure file; often none.

    Raises:
        BookError: the file of seals has faults.
    """
    file = path.parent / SEALED
    return read_seals(file) if file.exists() else ()


def read_seals(path: Path) -> tuple[Seal, ...]:
    """The seals in a file.

    Raises:
        BookError: it cannot be read or has faults; `problems` holds all of them.
    """
    faults = Faults(path)
    _, node = read_tree(path, faults)
    top = read_keys(node, "", names(FILE), required(FILE), faults)
    placed = (
        fields.several(top["sealed"], "sealed", _seal, "- {...}", faults, most=MOST) if top else ()
    )
    seen: dict[tuple[str, int], Placed[Seal]] = {}
    for number, each in enumerate(placed, start=1):
        key = (each.value.procedure, each.value.revision)
        if key in seen:
            fault = f"{key[0]} revision {key[1]} is sealed in line {seen[key].mark.line} already"
            mend = "keep the line that the records name"
            faults.add(each.mark, f"sealed[{number}]", fault, mend)
        seen[key] = each
    if faults:
        raise faults.error()
    return tuple(each.value for each in placed)


def seal_fault(procedure: Procedure, seals: Sequence[Seal]) -> tuple[str, str] | None:
    """How the procedure contradicts what was sealed, and the mend; None when it does not."""
    own = [seal for seal in seals if seal.procedure == procedure.id]
    number = procedure.revision.number
    last = max((seal.revision for seal in own), default=number)
    if number < last:
        return f"revision {last} was sealed already", f"write a number above {last}"
    for seal in own:
        if seal.revision == number and seal.sha256 != checksum(procedure):
            fault = f"revision {number} was sealed on {seal.date} with another content"
            return fault, f"write 'number: {last + 1}', or put the sealed text back"
    return None


def seals_text(seals: Iterable[Seal]) -> str:
    """The text of a file of seals."""
    lines = [
        "# Revisions sealed by 'rehearse book freeze'. Records name a text by its sum: keep every",
        "# line, and change a sealed text only under a new revision number.",
        "sealed:",
    ]
    for seal in sorted(seals):
        lines += [
            f"  - procedure: {seal.procedure}",
            f"    revision: {seal.revision}",
            f"    sha256: {seal.sha256}",
            f"    date: {seal.date}",
        ]
    return "\n".join(lines) + "\n"


def _seal(node: Node, field: str, faults: Faults) -> Placed[Seal] | None:
    values = read_flat(node, field, SEAL, faults)
    return None if values is None else Placed(Seal(**values), node.mark)
