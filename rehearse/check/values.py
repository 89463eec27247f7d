"""What is stated before a take of an oral check, and what there is after it."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.check.flow import Remarked
from rehearse.check.order import Draw
from rehearse.events import Event, Stated
from rehearse.judge.verdict import Result
from rehearse.record.take import Take


@dataclass(frozen=True)
class Statement:
    """What is stated before a take: who is heard, whether the sound may be kept, how it was drawn.

    candidate: the person's id in the record store, so that a take names nobody.
    place: of this take's procedure in the draw, from 1.
    """

    candidate: str
    consent: bool
    draw: Draw
    place: int = 1

    @property
    def drawn(self) -> str:
        """How the take's procedure came to be asked."""
        return self.draw.told(self.place)

    def events(self) -> tuple[Event, ...]:
        """What is logged before anything is heard."""
        return (
            Stated(0.0, "identity", self.candidate),
            Stated(0.0, "order", self.drawn),
            Stated(0.0, "consent", "yes" if self.consent else "no"),
        )


@dataclass(frozen=True)
class CheckedTake:
    """A take that is over: where it lies, its verdicts, and what the instructor remarked."""

    take: Take
    result: Result
    remarks: tuple[Remarked, ...] = ()

    def stated(self, what: str) -> str:
        """What was stated before it; "" when nothing was."""
        found = [e.text for e in self.take.events if isinstance(e, Stated) and e.what == what]
        return found[0] if found else ""
