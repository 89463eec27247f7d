"""One take of an oral check: a pure state machine over its events. It gives no help whatever.

Nothing is judged before identity and consent are stated. The instructor can pause, ask, remark and
end; what is said in a pause, as a question or as a remark is no answer. What a candidate asks the
tool for is noted and not answered. Nothing ends the take but the candidate's word, the instructor
or the end of the sound, so that nobody learns from it how many steps there are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum, StrEnum

from rehearse.book.model import Procedure
from rehearse.coach.actions import Action, Finish, Purpose, Say, StopListening, Tick
from rehearse.coach.requests import Request, requested, wordings_of
from rehearse.events import Aside, Ended, Event, Heard, Instructed, Requested, Stated
from rehearse.judge.verdict import Result, Verdict
from rehearse.safety import SPOKEN_NOTICE

HELP_OFF = "off"  # what a take's header says of its level of help

_ANNOUNCED = (
    "Oral check: {title}. {sound} {notice} No help is given. "
    "When you are done, say: I am finished. Begin when you are ready."
)
_SOUND = {True: "Your voice is recorded, as you agreed.", False: "Your voice is not recorded."}
_ENDING = {Request.DONE: "finished", Request.STOP: "stopped"}
_STATED = frozenset({"identity", "consent"})


class Act(StrEnum):
    """What an instructor can do in a take; the values are those of `Instructed.act`."""

    PAUSE = "pause"
    GO_ON = "go on"
    QUESTION = "question"
    REMARK = "remark"
    END = "end"


class Phase(Enum):
    """Where the take stands."""

    STATING = "stating"  # identity or consent is not stated yet
    HEARING = "hearing"
    PAUSED = "paused"
    OVER = "over"


@dataclass(frozen=True)
class Remarked:
    """A remark, typed or spoken; `second` is where in the take."""

    text: str
    second: float


@dataclass(frozen=True)
class OralCheck:
    """One take's state. Immutable: `step` gives the one that comes after an event.

    phase and all below: its memory; leave them alone when making one.
    stated: what was stated by now, and what: identity, consent, order.
    pauses: when each pause began and ended; None while it lasts.
    spoken: when the instructor announced a spoken question or remark that is still to come.
    """

    procedure: Procedure
    phase: Phase = Phase.STATING
    stated: tuple[tuple[str, str], ...] = ()
    pauses: tuple[tuple[float, float | None], ...] = ()
    spoken: tuple[float, str] | None = None
    remarks: tuple[Remarked, ...] = ()

    @property
    def over(self) -> bool:
        """The take is over."""
        return self.phase is Phase.OVER

    def read(self, heard: Heard) -> Heard | Requested | Aside:
        """What an utterance is: an answer, which is judged, a request, or no answer."""
        if self.phase is Phase.STATING:
            return Aside(heard.start, heard.end, "early")
        if self.spoken is not None and heard.start >= self.spoken[0]:
            return Aside(heard.start, heard.end, self.spoken[1], heard.text)
        if any(_within(heard.start, pause) for pause in self.pauses):
            return Aside(heard.start, heard.end, "pause")
        procedure = self.procedure
        found = requested(heard, wordings_of(procedure), procedure.language)
        return heard if found is None else Requested(heard.end, found.value, heard.text)

    def step(
        self, _now: float, event: Event | Tick, _result: Result
    ) -> tuple[OralCheck, tuple[Action, ...]]:
        """The check after an event, and what is to be done about it."""
        actions: tuple[Action, ...] = ()
        check = self
        match event:
            case _ if self.over:
                pass
            case Stated():
                check, actions = self._stating(event)
            case Instructed():
                check = self._instructed(event)
            case Aside():
                check = self._noted(event)
            case Requested(request=asked) if asked in _ENDING and self.phase is Phase.HEARING:
                check, actions = self._ending(_ENDING[Request(asked)])
            case Ended(why=why):
                check, actions = self._ending(why)
        return check, actions

    def _stating(self, event: Stated) -> tuple[OralCheck, tuple[Action, ...]]:
        stated = (*self.stated, (event.what, event.text))
        after = replace(self, stated=stated)
        known = dict(stated)
        if self.phase is not Phase.STATING or not known.keys() >= _STATED:
            return after, ()
        text = _ANNOUNCED.format(
            title=self.procedure.title,
            sound=_SOUND[known["consent"] == "yes"],
            notice=SPOKEN_NOTICE,
        )
        return replace(after, phase=Phase.HEARING), (Say(text, Purpose.WELCOME),)

    def _instructed(self, event: Instructed) -> OralCheck:
        match event.act:
            case Act.PAUSE if self.phase is Phase.HEARING:
                return replace(self, phase=Phase.PAUSED, pauses=(*self.pauses, (event.time, None)))
            case Act.GO_ON if self.phase is Phase.PAUSED:
                began, _ = self.pauses[-1]
                pauses = (*self.pauses[:-1], (began, event.time))
                return replace(self, phase=Phase.HEARING, pauses=pauses)
            case Act.REMARK if event.text:
                return replace(self, remarks=(*self.remarks, Remarked(event.text, event.time)))
            case Act.QUESTION | Act.REMARK if not event.text:
                return replace(self, spoken=(event.time, event.act))
        return self

    def _noted(self, event: Aside) -> OralCheck:
        if self.spoken is None or event.kind != self.spoken[1]:
            return self
        after = replace(self, spoken=None)
        if event.kind != Act.REMARK:
            return after
        return replace(after, remarks=(*self.remarks, Remarked(event.text, event.start)))

    def _ending(self, why: str) -> tuple[OralCheck, tuple[Action, ...]]:
        return replace(self, phase=Phase.OVER), (StopListening(), Finish(why))


def _within(time: float, pause: tuple[float, float | None]) -> bool:
    """Whether this is in the pause; what is said in one may be understood only after it."""
    began, ended = pause
    return began <= time and (ended is None or time < ended)


def waiting(result: Result) -> tuple[str, ...]:
    """The steps that wait for the instructor: what the tool could not decide."""
    return tuple(step.id for step in result.steps if step.verdict is Verdict.UNCLEAR)


def remarks_of(procedure: Procedure, events: Iterable[Event]) -> tuple[Remarked, ...]:
    """The remarks of a take, from its log alone."""
    check, nothing = OralCheck(procedure), Result(procedure.id, 0, False, (), ())
    for event in events:
        check, _ = check.step(0.0, event, nothing)
    return check.remarks
