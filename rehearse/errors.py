"""Everything that can go wrong in a way a person can mend, each as one clear line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


class RehearseError(Exception):
    """A mishap with a mend. `str()` is one line a person can act on; the CLI prints it, exit 2."""


class SoundError(RehearseError):
    """A recording or a sound device that cannot be used."""


class ModelError(RehearseError):
    """A model file that is missing, altered or cannot be loaded."""


class VoiceError(RehearseError):
    """The text could not be turned into speech."""


class StoreError(RehearseError):
    """A take or a folder that cannot be read or written."""


class ShelfError(RehearseError):
    """A procedure, or a folder of procedures, that cannot be found."""


class WordsError(RehearseError):
    """A words file that cannot be used."""


class AuthoringError(RehearseError):
    """A file that cannot be made for an author, or taken over from one."""


@dataclass(frozen=True, order=True)
class Problem:
    """One fault in a file, where it is and how to mend it. Lines and columns count from 1.

    code: which kind of advice it is, "" for a fault that must be mended.
    """

    path: Path
    line: int
    column: int
    field: str
    fault: str
    mend: str
    code: str = ""

    def __str__(self) -> str:
        kind = f" [{self.code}]" if self.code else ""
        place = f"{self.path}:{self.line}:{self.column}"
        return f"{place}: {self.field}: {self.fault}; {self.mend}{kind}"


class BookError(RehearseError):
    """A procedure file with faults; `problems` holds all of them, in file order."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems
