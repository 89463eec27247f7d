"""The steps of procedures that lend their words to a drill, so that a command stands once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from rehearse.book.faults import Faults, nearest
from rehearse.book.model import Procedure, Step
from rehearse.book.reader import read
from rehearse.book.shelf import find, stock
from rehearse.errors import BookError, ShelfError
from rehearse.register.entries import Found


class Steps:
    """Looks steps up: in the folder of the drill's procedures first, then as everywhere."""

    def __init__(self, folder: Path, language: str, faults: Faults) -> None:
        self._folder = folder
        self._language = language
        self._faults = faults
        self._procedure = cache(self._found)

    def __call__(self, answer: Found) -> Step | None:
        """The step that the answer names; None, and told, when there is none."""
        named, _, step_id = answer.one("step").partition(".")
        try:
            procedure = self._procedure(named)
        except BookError as error:
            first = error.problems[0]
            fault = f"the procedure '{named}' has faults, the first in line {first.line}"
            self._tell(answer, fault, f"mend {first.path}: {first.fault}; {first.mend}")
            return None
        except ShelfError as error:
            fault, _, mend = str(error).partition("; ")
            self._tell(answer, fault, mend)
            return None
        if procedure.language != self._language:
            fault = f"{named} is in the language {procedure.language}, not {self._language}"
            self._tell(answer, fault, "name a procedure in the drill's language")
            return None
        for step in procedure.steps:
            if step.id == step_id:
                return step
        close = nearest(step_id, [step.id for step in procedure.steps])
        mend = f"write '{named}.{close}'" if close else f"see 'rehearse book show {named}'"
        self._tell(answer, f"{named} has no step '{step_id}'", mend)
        return None

    def _tell(self, answer: Found, fault: str, mend: str) -> None:
        self._faults.add(answer.mark_of("step"), f"{answer.field}.step", fault, mend)

    def _found(self, name: str) -> Procedure:
        """Raises BookError or ShelfError."""
        beside = self._folder / f"{name}.yaml"
        if beside.is_file():
            procedure = read(beside)
            if procedure.id == name:
                return procedure
        for procedure in stock([self._folder]).procedures:
            if procedure.id == name:
                return procedure
        return find(name)
