"""What holds whatever happens: random takes, played against the coach."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.coach.actions import Action, Finish, Hush, Purpose, Restart, Say, Tick
from rehearse.coach.coach import Coach
from rehearse.coach.pace import Level
from rehearse.coach.requests import Request
from rehearse.coach.wording import first_words
from rehearse.events import (
    Ended,
    Event,
    Ghost,
    Heard,
    Listening,
    Partial,
    PromptEnded,
    PromptStarted,
    Requested,
    Restarted,
    SpeechStarted,
)
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict

STEPS = (
    Step("flap", "Open the flap and pull the spring pin"),
    Step("drum", "Turn the mode drum towards the hinge to armed", critical=True),
    Step("pin", "Let the spring pin snap home"),
    Step("panes", "Check both witness panes show the amber band", critical=True),
    Step("call", "Door two left armed and cross-checked", critical=True, command=True),
)
ORDERS = st.sampled_from(["strict", "free"])


def a_procedure(order: str) -> Procedure:
    """Five steps, three of them critical."""
    return Procedure(
        id="arm-door-2l",
        title="Arm a door",
        aircraft="tarn-240",
        positions=(),
        language="en",
        revision=Revision(1, date(2026, 10, 1), ""),
        order="strict" if order == "strict" else "free",
        pass_rule=PassRule(),
        steps=STEPS,
    )


@dataclass
class Take:
    """Plays one event after another and checks the coach's manners at each."""

    coach: Coach
    result: Result
    now: float = 0.0
    onsets: list[float] = field(default_factory=list)
    asked: Say | None = None
    speaking: bool = False
    since: float = 0.0  # when the prompt was asked for, or began
    questions: int = 0
    unclear: set[str] = field(default_factory=set)
    skipping: int = 0
    said: list[Say] = field(default_factory=list)

    def event(self, event: Event | Tick) -> None:
        """Hand over an event and check every action."""
        self.coach, actions = self.coach.step(self.now, event, self.result)
        assert sum(isinstance(action, Say) for action in actions) <= 1
        for action in actions:
            self.check(action)

    def check(self, action: Action) -> None:
        """One action against what is going on."""
        match action:
            case Say():
                assert not self.onsets, "spoke while the trainee was in mid-utterance"
                assert self.asked is None, "spoke twice at once"
                assert not self.speaking, "spoke twice at once"
                self.asked, self.since = action, self.now
                self.said.append(action)
                self.check_words(action)
            case Hush():
                self.asked = None
            case Restart():
                self.reset()
            case Finish():
                assert self.said[-1].purpose is Purpose.DEBRIEF
                assert self.asked is None
                assert not self.speaking

    def check_words(self, said: Say) -> None:
        """A question is asked once a step; only the rungs give a step away, the right one."""
        if said in self.said[:-1]:  # "say again" gives nothing new
            return
        if said.purpose is Purpose.ASK:
            self.questions += 1
            assert self.questions <= len(self.unclear)
        given_away = [step for step in STEPS if first_words(step.say) in said.text]
        if said.purpose in {Purpose.WELCOME, Purpose.NUDGE, Purpose.REPLY}:
            assert given_away == []
        if said.purpose in {Purpose.FIRST_WORDS, Purpose.WHOLE_STEP}:
            had = {s.id for s in self.result.steps if s.verdict is not Verdict.NOT_SAID}
            had |= self.coach.run.skipped | {step_id for step_id, _ in self.coach.run.corrected}
            furthest = max((at for at, step in enumerate(STEPS) if step.id in had), default=-1)
            assert all(STEPS.index(step) <= furthest + 1 for step in given_away)

    def reset(self) -> None:
        """A new run: nothing was said yet."""
        self.questions = 0
        self.unclear.clear()
        fresh = (StepResult(s.id, Verdict.NOT_SAID, 0.0, "", None, None, "") for s in STEPS)
        self.result = replace(self.result, steps=tuple(fresh), extras=())

    def judge(self, at: int, verdict: Verdict) -> None:
        """A step's verdict changes, resting on the utterance that ends now."""
        step = STEPS[at % len(STEPS)]
        start = self.onsets[0] if self.onsets else self.now
        end = None if verdict is Verdict.NOT_SAID else self.now
        found = StepResult(
            step.id, verdict, 0.5, "words", start if end else None, end, "You said so."
        )
        if verdict is Verdict.UNCLEAR and step.critical:
            self.unclear.add(step.id)
        steps = tuple(found if old.id == step.id else old for old in self.result.steps)
        self.result = replace(self.result, steps=steps)

    def prompt(self) -> None:
        """The prompt asked for begins, or the one being spoken ends."""
        if self.asked is not None:
            said, self.asked, self.speaking, self.since = self.asked, None, True, self.now
            self.event(PromptStarted(self.now, said.text, said.purpose))
        elif self.speaking:
            self.speaking = False
            self.event(PromptEnded(self.now))

    def quiet(self, seconds: float) -> None:
        """Time goes by; prompts are spoken meanwhile, and an open utterance ends as noise."""
        if self.onsets:
            self.closed()
            self.event(Ghost(self.now - 0.5, self.now, "", "noise"))
        until = self.now + seconds
        while self.now < until:
            self.now += 0.5
            self.prompt()
            self.event(Tick(self.now))

    def closed(self) -> None:
        """Every utterance that has begun is over."""
        self.onsets.clear()


SECONDS = st.floats(0.0, 3.0)
SAYS = st.tuples(st.just("says"), SECONDS, st.integers(0, 4), st.sampled_from(Verdict))
QUIET = st.tuples(st.just("quiet"), st.floats(1.0, 12.0))
ODD = st.one_of(
    st.tuples(st.just("tick"), SECONDS),
    st.tuples(st.just("prompt"), SECONDS),
    st.tuples(st.just("speech"), SECONDS),
    st.tuples(st.just("partial"), SECONDS),
    st.tuples(st.just("heard"), SECONDS, st.integers(0, 4), st.sampled_from(Verdict)),
    st.tuples(st.just("ghost"), SECONDS),
    st.tuples(st.just("danger"), SECONDS),
    st.tuples(st.just("request"), SECONDS, st.sampled_from([*Request, "sing"])),
    st.tuples(st.just("restarted"), SECONDS),
)
# Mostly what trainees do, sayings and pauses, so that a take comes far enough to matter.
MOVES = st.one_of(SAYS, QUIET, SAYS, QUIET, ODD)


def play(take: Take, move: tuple[object, ...]) -> None:
    """One move of a random take. No prompt takes longer than a working speaker lets it."""
    if take.now - take.since > 15.0:
        take.prompt()
    match move:
        case ("quiet", float(seconds)):
            take.quiet(seconds)
        case ("says", float(seconds), int(at), Verdict() as verdict):
            play_odd(take, ("speech", 0.5))
            play_odd(take, ("heard", seconds, at, verdict))
        case _:
            play_odd(take, move)


def play_odd(take: Take, move: tuple[object, ...]) -> None:
    """One of the moves that may come at any time."""
    seconds = move[1]
    assert isinstance(seconds, float)
    take.now += seconds
    match move:
        case ("prompt", _):
            take.prompt()
        case ("speech", _):
            take.onsets.append(take.now)
            take.event(SpeechStarted(take.now))
        case ("partial", _):
            take.event(Partial(take.now, "turn the"))
        case ("heard", _, int(at), Verdict() as verdict):
            take.judge(at, verdict)
            take.closed()
            take.event(Heard(take.now - 0.5, take.now, "words"))
        case ("ghost", _):
            take.closed()
            take.event(Ghost(take.now - 0.5, take.now, "thanks", "noise"))
        case ("danger", _):
            extra = Extra("pulled the toggle", True, "It stays covered.", take.now, take.now)
            take.result = replace(take.result, extras=(*take.result.extras, extra))
            take.event(Tick(take.now))
        case ("request", _, str(asked)):
            take.closed()
            take.event(Requested(take.now, str(asked), "words"))
        case ("restarted", _):
            take.reset()
            take.event(Restarted(take.now))
        case _:
            take.event(Tick(take.now))


def begun(order: str, level: Level) -> Take:
    """A take at its very start."""
    coach = Coach(a_procedure(order), level)
    take = Take(coach, Result("arm-door-2l", 1, False, (), ()))
    take.reset()
    take.event(Listening(0.0))
    return take


@given(ORDERS, st.sampled_from(Level), st.lists(MOVES, min_size=12, max_size=40))
def test_keeps_its_manners(order: str, level: Level, moves: list[tuple[object, ...]]) -> None:
    """Never speaks over the trainee or itself, never asks twice, gives no step away early."""
    take = begun(order, level)
    for move in moves:
        play(take, move)
        if take.coach.over:
            break
    if level is Level.QUIET:
        allowed = {Purpose.WELCOME, Purpose.REPLY, Purpose.DEBRIEF}
        assert {said.purpose for said in take.said} <= allowed


@given(ORDERS, st.sampled_from(Level), st.lists(MOVES, max_size=20))
def test_always_comes_to_an_end(order: str, level: Level, moves: list[tuple[object, ...]]) -> None:
    """Whatever happened before, a trainee who falls silent gets a debrief and the take closes."""
    take = begun(order, level)
    for move in moves:
        play(take, move)
    for _ in range(40):
        take.quiet(5.0)
    assert take.coach.over
    assert take.said[-1].purpose is Purpose.DEBRIEF


EVENTS = st.one_of(
    st.builds(Listening, SECONDS),
    st.builds(SpeechStarted, SECONDS),
    st.builds(Partial, SECONDS, st.text(max_size=5)),
    st.builds(Heard, SECONDS, SECONDS, st.text(max_size=20)),
    st.builds(Ghost, SECONDS, SECONDS, st.text(max_size=5), st.text(max_size=5)),
    st.builds(PromptStarted, SECONDS, st.text(max_size=5), st.text(max_size=5)),
    st.builds(PromptEnded, SECONDS, st.booleans()),
    st.builds(Requested, SECONDS, st.sampled_from([*Request, ""]), st.text(max_size=5)),
    st.builds(Restarted, SECONDS),
    st.builds(Ended, SECONDS, st.sampled_from(["device", "silence"])),
    st.builds(Tick, SECONDS),
)


@given(st.sampled_from(Level), st.lists(st.tuples(st.floats(0.0, 500.0), EVENTS), max_size=40))
def test_no_stream_of_events_breaks_it(
    level: Level, events: list[tuple[float, Event | Tick]]
) -> None:
    """Events in any order with any times, even impossible ones, never raise."""
    take = begun("strict", level)
    coach = take.coach
    for now, event in events:
        coach, actions = coach.step(now, event, take.result)
        assert sum(isinstance(action, Say) for action in actions) <= 1
