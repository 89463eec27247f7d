"""Where procedures are found: the shipped folder, the operator's folders, a path."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from rehearse.book.beside import BESIDE, DRILLS, LEXICON
from rehearse.book.faults import nearest
from rehearse.book.model import Procedure
from rehearse.book.reader import Located, locate, read
from rehearse.errors import BookError, Problem, ShelfError

VARIABLE = "REHEARSE_PROCEDURES"  # folders, separated as in PATH
SHIPPED = Path(__file__).resolve().parents[2] / "procedures"
_SUFFIXES = frozenset({".yaml", ".yml"})


@dataclass(frozen=True)
class Stock:
    """What the folders hold: every good procedure once, and what is wrong with the other files."""

    procedures: tuple[Procedure, ...]
    broken: tuple[BookError, ...]


def folders(given: Sequence[Path] = ()) -> tuple[Path, ...]:
    """The folders to look in, first come first served: given, REHEARSE_PROCEDURES, shipped.

    Raises:
        ShelfError: a folder that was asked for does not exist.
    """
    named = [(folder, "") for folder in given]
    listed = os.environ.get(VARIABLE, "").split(os.pathsep)
    named += [(Path(text), f" (from {VARIABLE})") for text in listed if text.strip()]
    for folder, origin in named:
        if not folder.is_dir():
            raise ShelfError(
                f"{folder}: there is no such folder{origin}; make it or correct its name"
            )
    shipped = [SHIPPED] if SHIPPED.is_dir() else []
    return tuple(dict.fromkeys([folder for folder, _ in named] + shipped))


def stock(places: Sequence[Path] | None = None) -> Stock:
    """Read every procedure file in the folders (`folders()` when None) and those inside them.

    An id in an earlier folder hides the same id in a later one, so that an operator can replace
    a shipped procedure. Twice in one folder is a fault of the second file.

    Raises:
        ShelfError: as `folders`.
    """
    found: dict[str, Procedure] = {}
    broken: list[BookError] = []
    for folder in folders() if places is None else places:
        here: dict[str, Procedure] = {}
        for path in files(folder):
            try:
                located = locate(path)
            except BookError as error:
                if all(error.problems != other.problems for other in broken):
                    broken.append(error)  # a faulty lexicon is told once, not for each procedure
                continue
            procedure = located.procedure
            if procedure.id in here:
                broken.append(_taken(located, here[procedure.id]))
            else:
                here[procedure.id] = procedure
        found = {**here, **found}
    ordered = sorted(found.values(), key=lambda procedure: (procedure.aircraft, procedure.id))
    return Stock(tuple(ordered), tuple(broken))


def all_procedures(places: Sequence[Path] | None = None) -> list[Procedure]:
    """Every good procedure, by aircraft and id; `stock` also tells what is wrong with the rest.

    Raises:
        ShelfError: as `folders`.
    """
    return list(stock(places).procedures)


def find(name: str | Path, places: Sequence[Path] | None = None) -> Procedure:
    """The procedure with this id, or in this YAML file.

    Raises:
        BookError: the file has faults.
        ShelfError: there is no such procedure; the nearest id is suggested.
    """
    text = str(name)
    if Path(text).suffix.lower() in _SUFFIXES or len(Path(text).parts) != 1:
        return read(Path(text))
    quick = _by_id(text, folders() if places is None else places)
    if quick is not None:
        return quick
    available = stock(places)
    by_id = {procedure.id: procedure for procedure in available.procedures}
    if text in by_id:
        return by_id[text]
    for error in available.broken:
        path = error.problems[0].path
        if path.stem == text or (path.name == LEXICON and (path.parent / f"{text}.yaml").exists()):
            raise error
    close = nearest(text, by_id)
    mend = f"did you mean '{close}'?" if close else "'rehearse book list' shows what there is"
    raise ShelfError(f"there is no procedure '{text}'; {mend}")


def _by_id(text: str, places: Sequence[Path]) -> Procedure | None:
    """The procedure with this id, reading only files in which the id stands; None when unsure."""
    for folder in places:
        for path in files(folder):
            with suppress(BookError, OSError):
                if text.encode() in path.read_bytes():
                    procedure = locate(path).procedure
                    if procedure.id == text:
                        return procedure
    return None


def files(folder: Path) -> Iterator[Path]:
    """The procedure files in the folder and those below it, but hidden ones, in a steady order.

    What lies beside procedures (the lexicon, the drills and their like) is none of them.
    """
    for path in yaml_files(folder):
        drill = DRILLS in path.relative_to(folder).parent.parts
        if path.name not in BESIDE and not drill:
            yield path


def yaml_files(folder: Path) -> Iterator[Path]:
    """Every YAML file in the folder and those below it, but hidden ones, in a steady order."""
    for path in sorted(folder.rglob("*")):
        hidden = any(part.startswith(".") for part in path.relative_to(folder).parts)
        if path.suffix.lower() in _SUFFIXES and not hidden and path.is_file():
            yield path


def _taken(located: Located, first: Procedure) -> BookError:
    mark = located.place("procedure")
    fault = f"the id '{located.procedure.id}' is taken by {first.path}"
    mend = "give this procedure an id of its own, or remove one of the files"
    path = located.procedure.path or Path()
    return BookError([Problem(path, mark.line, mark.column, "procedure", fault, mend)])
