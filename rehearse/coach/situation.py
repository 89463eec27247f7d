"""All that the coach looks at when it decides what to say."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.book.model import Procedure
from rehearse.coach.phrasebook import Phrasebook
from rehearse.coach.run import Run
from rehearse.judge.verdict import Result


@dataclass(frozen=True)
class Situation:
    """The procedure, the verdicts so far, the memory of this run and the language's sentences."""

    procedure: Procedure
    result: Result
    run: Run
    book: Phrasebook
