"""A recall drill by voice: a pure state machine that asks, listens, and tells what was right."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

from rehearse.coach.actions import Action, Finish, Hush, Purpose, Say, StopListening, Tick
from rehearse.coach.floor import Floor
from rehearse.coach.requests import Request, requested
from rehearse.events import Ended, Event, Heard, Requested, SpeechStarted
from rehearse.judge.verdict import Result
from rehearse.register.model import Register
from rehearse.register.phrasing import Phrasing, phrasing
from rehearse.register.question import Question
from rehearse.register.telling import only_unclear, outcome, whys
from rehearse.safety import spoken_notice

ANSWERED_AFTER = 4.0  # seconds of quiet after which an answer counts as given
SILENT_AFTER = 15.0  # the same when nothing was said at all

Score = Callable[[Question, Sequence[Heard]], Result]


class Phase(Enum):
    """Where the drill stands."""

    WAITING = "waiting"
    ANSWERING = "answering"
    CLOSING = "closing"
    OVER = "over"


@dataclass(frozen=True)
class Drill:
    """One drill's state. Immutable: `step` gives the drill that comes after an event.

    score: what an answer is worth; it must depend on nothing but its arguments.
    phase and all below: its memory; leave them alone when making one.
    results: one for each question that was answered. heards: the answer in progress.
    done: the trainee ended the answer. once_more: it was asked for once more already. repeat:
        the question is to be asked again. told: the closing words were said.
    why: why the drill ends.
    """

    register: Register
    questions: tuple[Question, ...]
    score: Score
    phase: Phase = Phase.WAITING
    floor: Floor = field(default_factory=Floor)
    results: tuple[Result, ...] = ()
    heards: tuple[Heard, ...] = ()
    done: bool = False
    once_more: bool = False
    repeat: bool = False
    told: bool = False
    why: str = "finished"

    @property
    def over(self) -> bool:
        """The last words have been spoken and `Finish` was given."""
        return self.phase is Phase.OVER

    @property
    def question(self) -> Question:
        """What is being asked."""
        return self.questions[len(self.results)]

    def read(self, heard: Heard) -> Heard | Requested:
        """The utterance, as a request when it is one."""
        parts = [part.name for part in self.question.parts] if self.asking else []
        words = phrasing(self.register.language).words("next")
        if heard.text.lower().strip(" .,!?") in words:
            return Requested(heard.end, Request.DONE.value, heard.text)
        found = requested(heard, parts, self.register.language)
        return heard if found is None else Requested(heard.end, found.value, heard.text)

    @property
    def asking(self) -> bool:
        """A question is open."""
        return len(self.results) < len(self.questions)

    def step(
        self, now: float, event: Event | Tick, _result: Result
    ) -> tuple[Drill, tuple[Action, ...]]:
        """The drill after an event, and what is to be done about it."""
        if self.over:
            return self, ()
        drill = replace(self, floor=self.floor.after(now, event))
        drill, actions = _noted(drill, event)
        if not drill.floor.free:
            return drill, actions
        drill, more = _speaking_up(drill, now)
        return drill, actions + more


_Stepped = tuple[Drill, tuple[Action, ...]]


# What an event changes at once, whoever is speaking.


def _noted(drill: Drill, event: Event | Tick) -> _Stepped:
    answering = drill.phase is Phase.ANSWERING and not drill.done
    match event:
        case SpeechStarted() if drill.floor.tool_speaks and answering:
            return replace(drill, floor=drill.floor.hushed()), (Hush(),)
        case Heard() if answering:
            return replace(drill, heards=(*drill.heards, event)), ()
        case Requested(request=Request.STOP) if drill.phase is not Phase.CLOSING:
            return _closing(drill, "stopped")
        case Ended(why=why) if drill.phase is not Phase.CLOSING:
            return _closing(_answered(drill) if drill.heards else drill, why)
        case Requested(request=asked) if answering:
            return _asked(drill, asked), ()
    return drill, ()


def _asked(drill: Drill, asked: str) -> Drill:
    """The drill after a request: the question once more, or the end of this answer."""
    match asked:
        case Request.DONE | Request.SKIP:
            return replace(drill, done=True)
        case Request.OVER:
            return replace(drill, heards=(), once_more=False, repeat=True)
        case Request.AGAIN | Request.HINT | Request.HELP:
            return replace(drill, repeat=True)
    return drill


def _answered(drill: Drill) -> Drill:
    result = drill.score(drill.question, drill.heards)
    results = (*drill.results, result)
    return replace(drill, results=results, heards=(), done=False, once_more=False)


def _closing(drill: Drill, why: str) -> _Stepped:
    hush: tuple[Action, ...] = (Hush(),) if drill.floor.tool_speaks else ()
    floor = replace(drill.floor, onsets=()).hushed()
    closed = replace(drill, phase=Phase.CLOSING, why=why, floor=floor)
    return closed, (StopListening(), *hush)


# What is said when nobody speaks: at most one thing at a time.


def _speaking_up(drill: Drill, now: float) -> _Stepped:
    match drill.phase:
        case Phase.WAITING:
            return _saying(replace(drill, phase=Phase.ANSWERING), now, welcome(drill))
        case Phase.ANSWERING:
            return _answering(drill, now)
        case Phase.CLOSING if not drill.told:
            return _saying(replace(drill, told=True), now, closing(drill))
    return replace(drill, phase=Phase.OVER), (Finish(drill.why),)


def _answering(drill: Drill, now: float) -> _Stepped:
    if drill.done:
        return _concluded(drill, now)
    if drill.repeat:
        return _saying(replace(drill, repeat=False), now, drill.question.ask)
    if drill.floor.pause(now) >= (ANSWERED_AFTER if drill.heards else SILENT_AFTER):
        return _concluded(drill, now)
    return drill, ()


def _concluded(drill: Drill, now: float) -> _Stepped:
    """What the answer was worth; where only the sound was unclear it is asked for once more."""
    if not drill.once_more and only_unclear(drill.score(drill.question, drill.heards)):
        again = replace(drill, done=False, once_more=True, heards=())
        return _saying(again, now, _words(drill).text("once_more"))
    return _outcome_told(_answered(drill), now)


def _outcome_told(drill: Drill, now: float) -> _Stepped:
    """What the answer was worth, and the next question or the end."""
    if drill.asking:
        return _saying(drill, now, after(drill))
    closed, actions = _closing(drill, "finished")
    last, more = _saying(replace(closed, told=True), now, f"{after(drill)} {closing(drill)}")
    return last, actions + more


def _saying(drill: Drill, now: float, text: str) -> _Stepped:
    purpose = Purpose.REPLY if drill.results else Purpose.WELCOME
    said = Say(" ".join(text.split()), purpose)
    return replace(drill, floor=drill.floor.asking(now)), (said,)


# What is said.


def welcome(drill: Drill) -> str:
    """How the drill begins, the notice and the first question included."""
    return _words(drill).text(
        "welcome",
        aircraft=drill.register.name,
        count=str(len(drill.questions)),
        notice=spoken_notice(drill.register.language),
        question=drill.questions[0].ask,
    )


def after(drill: Drill) -> str:
    """What the last answer was worth, why, the answer where it was not right, the next question."""
    words, result = _words(drill), drill.results[-1]
    asked = drill.questions[len(drill.results) - 1]
    following = drill.question.ask if drill.asking else ""
    if result.passed:
        return words.text(
            "after", outcome=words.text("right"), whys="", answer="", question=following
        )
    return words.text(
        "after",
        outcome=words.text(outcome(result)),
        whys=" ".join(whys(result)),
        answer=f"{words.text('told')} {asked.answer}",
        question=following,
    )


def closing(drill: Drill) -> str:
    """How the drill ends."""
    right = sum(result.passed for result in drill.results)
    return _words(drill).text("closing", right=str(right), asked=str(len(drill.results)))


def _words(drill: Drill) -> Phrasing:
    return phrasing(drill.register.language)
