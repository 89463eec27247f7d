"""The coach: a pure state machine that decides, event by event, when to speak and what to say."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum

from rehearse.book.model import Procedure
from rehearse.coach.actions import (
    Action,
    Finish,
    Hush,
    Purpose,
    Restart,
    Say,
    StopListening,
    Tick,
)
from rehearse.coach.answers import answer, restarted, started_over
from rehearse.coach.debrief import debrief
from rehearse.coach.floor import Floor
from rehearse.coach.guidance import Spoken, correction, help_after, question
from rehearse.coach.pace import ALL_SAID_AFTER, CORRECT_AFTER, WORDS_PER_MINUTE, Level, pace
from rehearse.coach.phrasebook import phrasebook
from rehearse.coach.progress import all_said, at_the_end
from rehearse.coach.requests import Request, requested, wordings_of
from rehearse.coach.run import Run
from rehearse.coach.situation import Situation
from rehearse.coach.wording import sentence
from rehearse.events import Ended, Event, Heard, Requested, Restarted, SpeechStarted
from rehearse.judge.verdict import Result
from rehearse.safety import spoken_notice


class Phase(Enum):
    """Where the take stands."""

    WAITING = "waiting"  # nothing has happened yet
    PRACTISING = "practising"
    CLOSING = "closing"  # the debrief is due
    DEBRIEFING = "debriefing"  # the debrief is being spoken
    OVER = "over"


@dataclass(frozen=True)
class Coach:
    """One take's coach. Immutable: `step` gives the coach that comes after an event.

    notice: said once, within the announcement; None for the language's own, "" when the trainee
        has heard it before.
    words_per_minute: the voice's rate, which bounds the debrief.
    phase, floor, run, ending: its memory; leave them alone when making one.
    """

    procedure: Procedure
    level: Level = Level.STEADY
    notice: str | None = None
    words_per_minute: int = WORDS_PER_MINUTE
    phase: Phase = Phase.WAITING
    floor: Floor = field(default_factory=Floor)
    run: Run = field(default_factory=Run)
    ending: str = ""

    @property
    def over(self) -> bool:
        """The debrief has been spoken and `Finish` was given."""
        return self.phase is Phase.OVER

    def read(self, heard: Heard) -> Heard | Requested:
        """The utterance, as a request when it is one. The judge must not be given a request."""
        found = requested(heard, wordings_of(self.procedure), self.procedure.language)
        return heard if found is None else Requested(heard.end, found.value, heard.text)

    def step(
        self, now: float, event: Event | Tick, result: Result
    ) -> tuple[Coach, tuple[Action, ...]]:
        """What the coach does at `now` (seconds from the start of the take) about an event.

        result: the verdicts so far, the event's own utterance included. After a `Restart` the
            caller judges anew and passes the fresh result with the next event.
        """
        if self.over:
            return self, ()
        coach = replace(self, floor=self.floor.after(now, event))
        coach, actions = _noted(coach, event, result)
        if not coach.floor.free:
            return coach, actions
        coach, more = _speaking_up(coach, now, result)
        return coach, actions + more


_Stepped = tuple[Coach, tuple[Action, ...]]


# What an event changes at once, whoever is speaking.


def _noted(coach: Coach, event: Event | Tick, result: Result) -> _Stepped:
    actions: tuple[Action, ...] = ()
    if coach.phase in {Phase.CLOSING, Phase.DEBRIEFING}:
        return coach, actions
    match event:
        case SpeechStarted() if coach.floor.tool_speaks:
            coach, actions = replace(coach, floor=coach.floor.hushed()), (Hush(),)
        case Heard():
            coach = replace(coach, run=coach.run.after_utterance(result))
        case Requested(request=asked):
            coach, actions = _asked(coach, asked, result)
        case Restarted():
            coach = replace(coach, run=restarted(coach.run, _situation(coach, result).book))
        case Ended(why=why):
            coach, actions = _closing(coach, why)
    return coach, actions


def _asked(coach: Coach, asked: str, result: Result) -> _Stepped:
    """The coach after a spoken request; the reply itself waits until nobody speaks."""
    here = _situation(coach, result)
    match asked:
        case Request.STOP:
            return _closing(coach, "stopped")
        case Request.DONE:
            return _closing(coach, "finished")
        case Request.OVER:
            return replace(coach, run=started_over(coach.run, here.book)), (Restart(),)
    return replace(coach, run=answer(asked, here, coach.level)), ()


def _closing(coach: Coach, why: str) -> _Stepped:
    hush: tuple[Action, ...] = (Hush(),) if coach.floor.tool_speaks else ()
    floor = replace(coach.floor, onsets=()).hushed()
    return replace(coach, phase=Phase.CLOSING, ending=why, floor=floor), (StopListening(), *hush)


# What the coach says when nobody speaks: at most one thing at a time.


def _speaking_up(coach: Coach, now: float, result: Result) -> _Stepped:
    match coach.phase:
        case Phase.WAITING:
            return _saying(replace(coach, phase=Phase.PRACTISING), now, _welcome(coach, result))
        case Phase.PRACTISING:
            return _practising(coach, now, result)
        case Phase.CLOSING:
            here = _situation(coach, result)
            text = debrief(
                here.procedure, result, here.book, words_per_minute=coach.words_per_minute
            )
            debriefing = replace(coach, phase=Phase.DEBRIEFING)
            return _saying(debriefing, now, Say(text, Purpose.DEBRIEF))
    return replace(coach, phase=Phase.OVER), (Finish(coach.ending),)


def _practising(coach: Coach, now: float, result: Result) -> _Stepped:
    if coach.run.owed is not None:
        return _saying(replace(coach, run=replace(coach.run, owed=None)), now, coach.run.owed)
    if guided := _guidance(coach, now, result):
        said, run = guided
        return _saying(replace(coach, run=run), now, said)
    if why := _ending_due(coach, now, result):
        coach, actions = _closing(coach, why)
        coach, more = _speaking_up(coach, now, result)
        return coach, actions + more
    return coach, ()


def _saying(coach: Coach, now: float, said: Say) -> _Stepped:
    run = replace(coach.run, last=said)
    return replace(coach, floor=coach.floor.asking(now), run=run), (said,)


def _situation(coach: Coach, result: Result) -> Situation:
    return Situation(coach.procedure, result, coach.run, phrasebook(coach.procedure.language))


def _welcome(coach: Coach, result: Result) -> Say:
    book = _situation(coach, result).book
    language = coach.procedure.language
    text = book.text(
        "welcome_quiet" if coach.level is Level.QUIET else "welcome",
        title=coach.procedure.title,
        steps=book.text("steps", count=len(coach.procedure.steps)),
        notice=sentence(spoken_notice(language) if coach.notice is None else coach.notice),
    )
    return Say(text, Purpose.WELCOME)


def _guidance(coach: Coach, now: float, result: Result) -> Spoken | None:
    """What the level of help has the coach say now, if anything."""
    pause = coach.floor.pause(now)
    if coach.level is Level.QUIET or pause < CORRECT_AFTER:
        return None
    here = _situation(coach, result)
    urgent = correction(here) or question(here)
    if urgent or _nothing_more(coach, result):
        return urgent
    return help_after(here, pause, pace(coach.level))


def _nothing_more(coach: Coach, result: Result) -> bool:
    """The end was reached and no corrected step is waited for."""
    return coach.run.again is None and at_the_end(coach.procedure, result, coach.run.skipped)


def _ending_due(coach: Coach, now: float, result: Result) -> str:
    """Why the take ends now, or "" when it goes on."""
    pause, pauses = coach.floor.pause(now), pace(coach.level)
    if _nothing_more(coach, result):
        wait = ALL_SAID_AFTER if all_said(result) else pauses.finish
        return "finished" if pause >= wait else ""
    return "silence" if pause >= pauses.silence else ""
