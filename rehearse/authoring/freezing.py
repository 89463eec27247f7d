"""Revisions sealed: their checksums put into the `sealed.yaml` beside them, all or none."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rehearse.book.beside import SEALED
from rehearse.book.model import Procedure
from rehearse.book.seal import checksum
from rehearse.book.sealed import Seal, seal_fault, sealed_beside, seals_text
from rehearse.errors import AuthoringError


@dataclass(frozen=True)
class Frozen:
    """A sealed procedure; `anew` is false when its revision was sealed with this content before."""

    procedure: Procedure
    folder: Path
    seal: Seal
    anew: bool


def freeze(procedures: Sequence[Procedure], on: date) -> list[Frozen]:
    """Seal each procedure's revision, in the given order.

    Raises:
        AuthoringError: a revision was sealed with another content, is older than a sealed one, or
            its folder cannot be written. Nothing was sealed.
        BookError: a file of seals has faults.
    """
    known: dict[Path, dict[tuple[str, int], Seal]] = {}
    frozen: list[Frozen] = []
    for procedure in procedures:
        if procedure.path is None:
            raise AuthoringError(f"{procedure.id}: not read from a file, so it cannot be sealed")
        folder = procedure.path.parent
        if folder not in known:
            before = sealed_beside(procedure.path)
            known[folder] = {(seal.procedure, seal.revision): seal for seal in before}
        made = _sealed(procedure, folder, known[folder], on)
        known[folder][made.seal.procedure, made.seal.revision] = made.seal
        frozen.append(made)
    for folder in {each.folder: None for each in frozen if each.anew}:
        _write(folder / SEALED, seals_text(known[folder].values()))
    return frozen


def _sealed(
    procedure: Procedure, folder: Path, known: dict[tuple[str, int], Seal], on: date
) -> Frozen:
    contradiction = seal_fault(procedure, tuple(known.values()))
    if contradiction is not None:
        fault, mend = contradiction
        raise AuthoringError(f"{procedure.path}: revision.number: {fault}; {mend}")
    own = known.get((procedure.id, procedure.revision.number))
    seal = own or Seal(procedure.id, procedure.revision.number, checksum(procedure), on)
    return Frozen(procedure, folder, seal, anew=own is None)


def _write(path: Path, text: str) -> None:
    """Put the text in place at once, so that a stop half-way leaves the old one."""
    part = path.with_name(f".{path.name}.part")
    try:
        with part.open("w", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        reason = error.strerror or str(error)
        raise AuthoringError(f"{path}: cannot be written ({reason}); nothing was sealed") from error
