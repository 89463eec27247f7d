"""Where drills are found: the folder `drills` beside the procedures, or a path."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from rehearse.book.beside import DRILLS
from rehearse.book.faults import nearest
from rehearse.book.shelf import folders, yaml_files
from rehearse.drill.files.reader import read_drill
from rehearse.drill.model import Drill
from rehearse.errors import BookError, Problem, ShelfError

_KEY = re.compile(r"""^drill\s*:\s*["']?([A-Za-z0-9-]*)""", re.MULTILINE)


@dataclass(frozen=True)
class DrillStock:
    """What the folders hold: every good drill once, and what is wrong with the other files."""

    drills: tuple[Drill, ...]
    broken: tuple[BookError, ...]


def drill_stock(places: Sequence[Path] | None = None) -> DrillStock:
    """Read every drill in the folders (`rehearse.book.shelf.folders()` when None).

    An id in an earlier folder hides the same id in a later one. Twice in one folder is a fault
    of the second file.

    Raises:
        ShelfError: a folder that was asked for does not exist.
    """
    found: dict[str, Drill] = {}
    broken: list[BookError] = []
    for folder in folders() if places is None else places:
        here: dict[str, Drill] = {}
        for path in drill_files(folder):
            try:
                drill = read_drill(path)
            except BookError as error:
                broken.append(error)
                continue
            if drill.id in here:
                broken.append(_taken(drill, here[drill.id]))
            else:
                here[drill.id] = drill
        found = {**here, **found}
    ordered = sorted(found.values(), key=lambda drill: (drill.aircraft, drill.id))
    return DrillStock(tuple(ordered), tuple(broken))


def find_drill(
    name: str | Path, places: Sequence[Path] | None = None, *, position: str = ""
) -> Drill:
    """The drill with this id, or in this YAML file, as `read_drill` reads it for a position.

    Raises:
        BookError: the file has faults.
        ShelfError: there is no such drill (the nearest id is suggested), or it is not for this
            position.
    """
    text = str(name)
    if Path(text).suffix.lower() in {".yaml", ".yml"} or len(Path(text).parts) != 1:
        return read_drill(Path(text), position)
    looked = folders() if places is None else places
    for folder in looked:
        for path in _likely(text, folder):
            if _id_of(path) == text:
                return read_drill(path, position)
    by_id = {drill.id: drill for drill in drill_stock(looked).drills}
    close = nearest(text, by_id)
    mend = f"did you mean '{close}'?" if close else f"there are {', '.join(by_id) or 'none'}"
    raise ShelfError(f"there is no drill '{text}'; {mend}")


def drill_files(folder: Path) -> Iterator[Path]:
    """The drill files in the folder and those below it, in a steady order."""
    for path in yaml_files(folder):
        if path.parent.name == DRILLS:
            yield path


def is_drill(path: Path) -> bool:
    """Whether this is a drill and no procedure: by its folder, or by its first key."""
    return path.parent.name == DRILLS or bool(_id_of(path))


def _likely(drill_id: str, folder: Path) -> list[Path]:
    """The folder's drill files, those that are called as the drill is first."""
    return sorted(drill_files(folder), key=lambda path: path.stem != drill_id)


def _id_of(path: Path) -> str:
    """The id that a drill file gives itself; nothing is told when it cannot be read."""
    try:
        found = _KEY.search(path.read_text("utf-8", errors="replace"))
    except OSError:
        return ""
    return found[1] if found else ""


def _taken(drill: Drill, first: Drill) -> BookError:
    path = drill.path or Path()
    fault = f"the id '{drill.id}' is taken by {first.path}"
    mend = "give this drill an id of its own, or remove one of the files"
    return BookError([Problem(path, 1, 1, "drill", fault, mend)])
