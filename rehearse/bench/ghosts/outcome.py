"""What became of a block: counted, with the words, as one line of a file."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from rehearse.errors import RehearseError


class KeptError(RehearseError):
    """A file of outcomes that cannot be read or written."""


@dataclass(frozen=True)
class Place:
    """One block to be heard. detected: whether a voice must be detected in it."""

    kind: str
    number: int
    detected: bool = True


@dataclass(frozen=True)
class Outcome:
    """One block of a kind, heard twice: in practice of a procedure, and in a drill.

    detected: whether a voice had to be detected; else all sound was taken for one.
    begun: utterances that began; ghosts: those that were refused; heard: the texts of the others.
    credited, critical, commands: ids of steps credited at any moment, the critical ones and the
        commands among them. blamed: steps called wrong, and forbidden actions warned of.
    requests: what was obeyed, as "request: text".
    shouts: texts taken for a command of the drill, or for an answer by meaning. stops: texts taken
        for the wish to end it.
    """

    kind: str
    number: int
    seconds: float
    procedure: str
    drill: str
    detected: bool
    begun: int
    ghosts: int
    heard: tuple[str, ...] = ()
    credited: tuple[str, ...] = ()
    critical: tuple[str, ...] = ()
    commands: tuple[str, ...] = ()
    blamed: tuple[str, ...] = ()
    requests: tuple[str, ...] = ()
    shouts: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()

    @property
    def place(self) -> Place:
        """Which block it was."""
        return Place(self.kind, self.number, self.detected)


_LISTS = frozenset(field.name for field in fields(Outcome) if "tuple" in str(field.type))


def kept(paths: Iterable[Path]) -> list[Outcome]:
    """The outcomes of these files, each block once; a last line that was broken off is left out.

    Raises:
        KeptError: a file cannot be read, or holds something else.
    """
    found = {outcome.place: outcome for path in paths for outcome in _read(path)}
    return list(found.values())


def begun(path: Path) -> list[Outcome]:
    """The outcomes of a file that more will be added to; it is made when it is not there.

    A last line that was broken off is taken out of it.

    Raises:
        KeptError: it cannot be used, or holds something else.
    """
    try:
        path.touch()
        found = _read(path)
        text = path.read_text("utf-8")
        if not text.endswith("\n"):
            path.write_text(text[: text.rfind("\n") + 1], "utf-8")
    except OSError as error:
        raise KeptError(f"{path}: cannot be used ({error.strerror}); name another file") from None
    return found


def _read(path: Path) -> list[Outcome]:
    try:
        text = path.read_text("utf-8")
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no text"
        raise KeptError(f"{path}: cannot be read ({why}); name another file") from None
    *whole, _broken = text.split("\n")
    found = []
    for number, line in enumerate(whole, 1):
        try:
            row = json.loads(line)
            lists = {name: tuple(map(str, row[name])) for name in _LISTS}
            found.append(Outcome(**{**row, **lists}))
        except (ValueError, TypeError, KeyError):
            raise KeptError(
                f"{path}:{number}: no outcome of a block of sound; name another file"
            ) from None
    return found


def add(path: Path, outcome: Outcome) -> None:
    """Adds one outcome to a file. Raises KeptError when it cannot be written."""
    try:
        with path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(outcome), ensure_ascii=False) + "\n")
    except OSError as error:
        raise KeptError(f"{path}: cannot be written ({error.strerror}); name another") from None
