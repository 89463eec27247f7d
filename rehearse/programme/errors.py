"""What can be wrong with a programme file or a file of past results: every fault, with its mend."""

from __future__ import annotations

from dataclasses import replace

from rehearse.errors import Problem, RehearseError

# The reader of procedure files finds the faults of any YAML file; these words make them fit.
_WORDS = (
    ("title, aircraft, ..., steps", "operator, zone and elements"),
    ("procedure", "programme"),
    ("steps", "elements"),
)


class ProgrammeError(RehearseError):
    """A programme file with faults; `problems` holds all of them, in file order."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


class PastError(RehearseError):
    """A file of past results with faults; `problems` holds all of them, in file order."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


def programme_error(problems: list[Problem]) -> ProgrammeError:
    """The error that tells all of it; faults of the file itself speak of a programme file."""
    return ProgrammeError([_reworded(problem) for problem in problems])


def _reworded(problem: Problem) -> Problem:
    if problem.field != "file":
        return problem
    mend = problem.mend
    for ours, theirs in _WORDS:
        mend = mend.replace(ours, theirs)
    return replace(problem, mend=mend)
