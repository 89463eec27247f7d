"""Any recogniser that reads freely, and fuzzy matching of its words."""

from __future__ import annotations

from time import process_time

from rehearse.bench.hearing.pipelines import Outcome, fuzzy
from rehearse.book.model import Procedure, Step
from rehearse.hear.recogniser import Recogniser, Sound


class OpenReading:
    """The best free reading of a recogniser, and the token-set ratio of its words with the step's.

    name: what it is called in the figures.
    """

    def __init__(self, name: str, recogniser: Recogniser) -> None:
        self.name = name
        self._recogniser = recogniser

    def hear(self, sound: Sound, _procedure: Procedure, step: Step) -> Outcome:
        """The likeness is the score; there is no verdict without a threshold."""
        began = process_time()
        readings = self._recogniser.free(sound)
        return fuzzy(readings[0].text if readings else "", process_time() - began, step)

    def judge(self, text: str, _procedure: Procedure, step: Step) -> Outcome:
        """The likeness of the text itself."""
        return fuzzy(text, 0.0, step)
