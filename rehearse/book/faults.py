"""The faults of one file as they are found: where, what, and how to mend it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from rehearse.errors import BookError, Problem

_SHOWN = 40  # characters of a person's own text that an error repeats


@dataclass(frozen=True, order=True)
class Mark:
    """A place in a file. Lines and columns count from 1."""

    line: int
    column: int


START = Mark(1, 1)


class Faults:
    """Gathers the faults of one file, so that all of them can be told at once."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._problems: list[Problem] = []

    def add(self, mark: Mark, field: str, fault: str, mend: str) -> None:
        """Note one fault; `field` names what it is in, as `steps[drum].say`."""
        self._problems.append(Problem(self.path, mark.line, mark.column, field, fault, mend))

    def __bool__(self) -> bool:
        return bool(self._problems)

    @property
    def problems(self) -> list[Problem]:
        """What was found so far, each fault once, in file order."""
        once = dict.fromkeys(self._problems)
        return sorted(once, key=lambda problem: (problem.line, problem.column))

    def error(self) -> BookError:
        """The error that tells all of it."""
        return BookError(self.problems)


def shown(text: str) -> str:
    """The text quoted for an error line: one line, at most 40 characters, nothing invisible."""
    clean = "".join(char if char.isprintable() else "?" for char in text)
    return f"'{clean}'" if len(clean) <= _SHOWN else f"'{clean[:_SHOWN].rstrip()}...'"


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that this one was probably meant to be, whatever its case, or None."""
    by_lower = {candidate.lower(): candidate for candidate in known}
    close = get_close_matches(name.lower().strip()[:_SHOWN], list(by_lower), n=1, cutoff=0.6)
    return by_lower[close[0]] if close else None
