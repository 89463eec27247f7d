"""A drill as it goes: a pure state machine that gives cues, hears answers and takes branches."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cached_property

from rehearse.coach.actions import (
    Action,
    Finish,
    Hush,
    Note,
    Purpose,
    Say,
    StopListening,
    Tick,
)
from rehearse.coach.floor import Floor
from rehearse.coach.pace import LOST_PROMPT
from rehearse.coach.requests import Request
from rehearse.drill.model import END, Drill, Stage
from rehearse.drill.running.giving import closing, cue, welcome
from rehearse.drill.running.plan import Planned, plan
from rehearse.drill.running.spoken import phrases, stops
from rehearse.drill.running.standing import Hears, Standing
from rehearse.events import (
    CueEnded,
    CueStarted,
    Ended,
    Event,
    Heard,
    Requested,
    SpeechStarted,
    StageOver,
)
from rehearse.judge.verdict import Result

PATIENCE = 8.0  # seconds after a stage's time in which an answer in progress is waited for
MOST_VISITS = 5  # of one stage in one run: a drill that goes round in circles ends


class Phase(Enum):
    """Where the drill stands."""

    WAITING = "waiting"
    WELCOME = "welcome"  # being spoken
    COUNTDOWN = "countdown"  # being spoken
    BEFORE = "before"  # a stage has begun, its cue is yet to come
    CUE = "cue"  # asked for or being given
    ANSWERING = "answering"
    CLOSING = "closing"
    OVER = "over"


@dataclass(frozen=True)
class Runner:
    """One run of a drill. Immutable: `step` gives the runner that comes after an event.

    hears: judges the answers.
    headset: hearing goes on while a cue is given, so that the trainee may answer into it.
    introduced: the welcome and the countdown are left out.
    phase and all below: its memory; leave them alone when making one.
    stage: which one lasts, "" before the first. since: when it began, was asked for, or its cue
        ended, by the phase. cue_started: when its cue began to sound, None before. heards: what
        was heard since. standing: what that amounts to. visits: the stages entered, in order.
        told: the closing words were said. why: why the drill ends.
    """

    drill: Drill
    seed: int
    hears: Hears
    headset: bool = False
    introduced: bool = False
    phase: Phase = Phase.WAITING
    floor: Floor = field(default_factory=Floor)
    stage: str = ""
    since: float = 0.0
    cue_started: float | None = None
    heards: tuple[Heard, ...] = ()
    standing: Standing = field(default_factory=Standing)
    visits: tuple[str, ...] = ()
    told: bool = False
    why: str = "finished"

    @property
    def over(self) -> bool:
        """The last words have been spoken and `Finish` was given."""
        return self.phase is Phase.OVER

    @cached_property
    def plan(self) -> dict[str, Planned]:
        """What the seed decided, by stage id."""
        return dict(plan(self.drill, self.seed))

    def read(self, heard: Heard) -> Heard | Requested:
        """The utterance, or the request to end the drill."""
        if stops(heard.text, self.drill):
            return Requested(heard.end, Request.STOP.value, heard.text)
        return heard

    def step(
        self, now: float, event: Event | Tick, _result: Result
    ) -> tuple[Runner, tuple[Action, ...]]:
        """The runner after an event at `now`, and what is to be done about it.

        It needs no result: a drill's answers are judged by `hears`, stage by stage.
        """
        if self.over:
            return self, ()
        runner = replace(self, floor=self.floor.after(now, event))
        runner, actions = _noted(runner, event)
        runner, more = _going_on(runner, now)
        return runner, actions + more


_Stepped = tuple[Runner, tuple[Action, ...]]


# What an event changes at once.


def _noted(runner: Runner, event: Event | Tick) -> _Stepped:
    actions: tuple[Action, ...] = ()
    if runner.phase is Phase.CLOSING:
        return runner, actions
    match event:
        case Requested(request=Request.STOP):
            runner, actions = _closing(runner, "stopped")
        case Ended(why=why):
            runner, actions = _closing(runner, why)
        case SpeechStarted() if runner.phase is Phase.WELCOME and runner.floor.tool_speaks:
            runner, actions = replace(runner, floor=runner.floor.hushed()), (Hush(),)
        case Heard(end=end) if runner.cue_started is not None and end > runner.cue_started:
            runner = _heard(runner, event, runner.cue_started)
        case CueStarted(time=begun, stage=stage) if _asked_for(runner, stage):
            runner = replace(runner, cue_started=begun)
        case CueEnded(time=ended, stage=stage) if _asked_for(runner, stage):
            runner = replace(runner, phase=Phase.ANSWERING, since=ended)
    return runner, actions


def _heard(runner: Runner, heard: Heard, since: float) -> Runner:
    heards = (*runner.heards, heard)
    stage = runner.drill.stage(runner.stage)
    return replace(runner, heards=heards, standing=runner.hears.standing(stage, since, heards))


def _asked_for(runner: Runner, stage: str) -> bool:
    return runner.phase is Phase.CUE and runner.stage == stage


def _closing(runner: Runner, why: str) -> _Stepped:
    busy = runner.floor.tool_speaks or runner.phase is Phase.CUE
    hush: tuple[Action, ...] = (Hush(),) if busy else ()
    floor = replace(runner.floor, onsets=()).hushed()
    closed = replace(runner, phase=Phase.CLOSING, why=why, floor=floor)
    return closed, (StopListening(), *hush)


# What time brings.


def _going_on(runner: Runner, now: float) -> _Stepped:
    """What is due now: one thing after another, until something must be waited for."""
    actions: tuple[Action, ...] = ()
    while True:
        after, more = _due(runner, now)
        if after is runner:
            return runner, actions
        runner, actions = after, actions + more


def _due(runner: Runner, now: float) -> _Stepped:
    if runner.floor.tool_speaks or runner.over:
        return runner, ()
    match runner.phase:
        case Phase.WAITING | Phase.WELCOME | Phase.COUNTDOWN:
            return _beginning(runner, now)
        case Phase.BEFORE | Phase.CUE:
            return _cueing(runner, now)
        case Phase.ANSWERING:
            return _answering(runner, now)
        case Phase.CLOSING if not runner.told:
            return _saying(replace(runner, told=True), now, closing(runner.drill, runner.why))
    return replace(runner, phase=Phase.OVER), (Finish(runner.why),)


def _beginning(runner: Runner, now: float) -> _Stepped:
    if runner.phase is Phase.WAITING and not runner.introduced:
        return _saying(
            replace(runner, phase=Phase.WELCOME), now, welcome(runner.drill, headset=runner.headset)
        )
    if runner.phase is Phase.WELCOME:
        countdown = phrases(runner.drill.language).text("countdown")
        return _saying(replace(runner, phase=Phase.COUNTDOWN), now, countdown)
    return _entered(runner, now, runner.drill.stages[0].id)


def _cueing(runner: Runner, now: float) -> _Stepped:
    if runner.phase is Phase.BEFORE and now >= runner.since + runner.plan[runner.stage].wait:
        return replace(runner, phase=Phase.CUE, since=now), (cue(runner.drill, runner.stage),)
    if runner.phase is Phase.CUE and now > runner.since + _longest_cue(runner):
        return replace(runner, phase=Phase.ANSWERING, since=now), ()
    return runner, ()


def _longest_cue(runner: Runner) -> float:
    """Seconds after which an end of the cue that never came is waited for no longer."""
    return LOST_PROMPT + (runner.drill.stage(runner.stage).cue.holds or 0.0)


def _answering(runner: Runner, now: float) -> _Stepped:
    """The stage's end, once it is answered or its time has run out."""
    stage = runner.drill.stage(runner.stage)
    if runner.standing.answered:
        return _over(runner, now)
    if now < runner.since + stage.gives_up or _awaited(runner, stage, now):
        return runner, ()
    return _over(runner, now)


def _awaited(runner: Runner, stage: Stage, now: float) -> bool:
    """Whether an answer that was begun in time is still being said or understood."""
    deadline = runner.since + stage.gives_up
    in_time = any(onset < deadline for onset in runner.floor.onsets)
    return in_time and now < deadline + PATIENCE


def _over(runner: Runner, now: float) -> _Stepped:
    """The stage is over; the next one begins, or the drill ends."""
    outcome = runner.standing.outcome
    noted: tuple[Action, ...] = (Note(StageOver(now, runner.stage, outcome.value)),)
    following = runner.plan[runner.stage].then[outcome]
    if following == END or runner.visits.count(following) >= MOST_VISITS:
        after, actions = _closing(runner, "finished")
    else:
        after, actions = _entered(runner, now, following)
    return after, noted + actions


def _entered(runner: Runner, now: float, stage: str) -> _Stepped:
    nothing_to_say = not runner.drill.stage(stage).answers
    entered = replace(
        runner,
        phase=Phase.BEFORE,
        stage=stage,
        since=now,
        cue_started=None,
        heards=(),
        standing=Standing(answered=nothing_to_say),
        visits=(*runner.visits, stage),
    )
    return entered, ()


def _saying(runner: Runner, now: float, text: str) -> _Stepped:
    before = runner.phase in {Phase.WELCOME, Phase.COUNTDOWN}
    said = Say(text, Purpose.WELCOME if before else Purpose.REPLY)
    return replace(runner, floor=runner.floor.asking(now)), (said,)
