"""The coach in simulated time: each behaviour as a short scene."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import pytest

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
from rehearse.coach.coach import Coach
from rehearse.coach.pace import Level
from rehearse.events import (
    Ended,
    Event,
    Ghost,
    Heard,
    Listening,
    PromptEnded,
    PromptStarted,
    Requested,
    SpeechStarted,
)
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict

SAID, WRONG, UNCLEAR = Verdict.SAID, Verdict.WRONG, Verdict.UNCLEAR
INCOMPLETE, NOT_SAID = Verdict.INCOMPLETE, Verdict.NOT_SAID
DISARMED = "You said disarmed. The drum goes to armed."


@dataclass
class Scene:
    """A practice with a scripted trainee, a scripted judge and a tool that speaks for two seconds.

    `log` holds every action with its time.
    """

    coach: Coach
    result: Result
    now: float = 0.0
    log: list[tuple[float, Action]] = field(default_factory=list)
    due: list[tuple[float, Event]] = field(default_factory=list)

    def event(self, event: Event | Tick) -> None:
        """Let the coach see an event, and do what it asks."""
        self.coach, actions = self.coach.step(self.now, event, self.result)
        for action in actions:
            self.log.append((self.now, action))
            if isinstance(action, Say):
                started = PromptStarted(self.now + 0.1, action.text, action.purpose)
                self.due += [(started.time, started), (self.now + 2.1, PromptEnded(self.now + 2.1))]
            if isinstance(action, Hush):
                speaking = len(self.due) == 1
                self.due.clear()
                if speaking:
                    self.due.append((self.now, PromptEnded(self.now, finished=False)))
            if isinstance(action, Restart):
                self.result = replace(self.result, steps=tuple(map(forgotten, self.result.steps)))

    def wait(self, seconds: float) -> None:
        """Let time go by, a tenth of a second at a time."""
        until = self.now + seconds
        while self.now < until - 1e-9:
            self.now += 0.1
            while self.due and self.due[0][0] <= self.now + 1e-9:
                self.event(self.due.pop(0)[1])
            self.event(Tick(self.now))

    def says(self, text: str, /, seconds: float = 1.5, **verdicts: Verdict) -> None:
        """The trainee speaks, and the judge gives the named steps these verdicts."""
        onset = self.now
        self.event(SpeechStarted(onset))
        self.wait(seconds)
        heard = self.coach.read(Heard(onset, self.now, text))
        for step_id, verdict in verdicts.items():
            self.judge(step_id, verdict, onset, text)
        self.event(heard)

    def judge(self, step_id: str, verdict: Verdict, start: float, text: str) -> None:
        """Give a step a verdict, heard from `start` until now."""
        found = StepResult(step_id, verdict, 0.9, text, start, self.now, why="")
        if verdict is WRONG:
            found = replace(found, why=DISARMED)
        if verdict is INCOMPLETE:
            found = replace(found, missing="the sill lamp")
        steps = tuple(found if step.id == step_id else step for step in self.result.steps)
        self.result = replace(
            self.result, steps=steps, passed=all(step.verdict is SAID for step in steps)
        )

    @property
    def said(self) -> list[str]:
        """Every text spoken after the welcome, in order."""
        return [action.text for _, action in self.log if isinstance(action, Say)][1:]

    @property
    def purposes(self) -> list[Purpose]:
        """Why each was spoken."""
        return [action.purpose for _, action in self.log if isinstance(action, Say)][1:]

    @property
    def endings(self) -> list[str]:
        """Why the take ended."""
        return [action.why for _, action in self.log if isinstance(action, Finish)]

    def recite(self, *step_ids: str) -> None:
        """Say these steps rightly, one after another."""
        for step_id in step_ids:
            self.says(self.coach.procedure.step(step_id).say, seconds=1.5, **{step_id: SAID})
            self.wait(1.0)


def forgotten(step: StepResult) -> StepResult:
    """The step before anything was said."""
    return StepResult(step.id, NOT_SAID, 0.0, "", None, None, "You did not say it.")


def scene(procedure: Procedure, level: Level = Level.STEADY, notice: str = "") -> Scene:
    """A practice in which the welcome has just been spoken."""
    steps = tuple(
        StepResult(step.id, NOT_SAID, 0.0, "", None, None, "You did not say it.")
        for step in procedure.steps
    )
    result = Result(procedure.id, procedure.revision.number, False, steps, ())
    play = Scene(Coach(procedure, level, notice), result)
    play.event(Listening(0.0))
    play.wait(2.5)
    return play


def test_announces_the_procedure_with_the_notice(procedure: Procedure) -> None:
    """The welcome names the procedure and the number of steps, and carries the notice once."""
    first = scene(procedure, notice="This is a training aid.").log[0][1]
    again = scene(procedure, notice="").log[0][1]
    assert first == Say(
        "Arm door 2 left, in 5 steps. This is a training aid. Begin when you are ready.",
        Purpose.WELCOME,
    )
    assert again == Say("Arm door 2 left, in 5 steps. Begin when you are ready.", Purpose.WELCOME)


def test_stays_quiet_while_it_goes_well_and_closes_after_the_last_step(
    procedure: Procedure,
) -> None:
    """A right recitation gets no word before the debrief, which comes without a wait."""
    play = scene(procedure)
    play.recite("flap", "drum", "pin", "panes", "call")
    play.wait(4.0)
    assert play.said == ["Well done. You said all 5 steps."]
    assert play.endings == ["finished"]
    assert play.coach.over


def test_helps_in_three_rungs_after_pauses(procedure: Procedure) -> None:
    """A nudge gives nothing away, then the first words, then the whole step, then silence."""
    play = scene(procedure)
    play.recite("flap")
    play.wait(35.0)
    assert play.said == [
        "What comes next?",
        "It begins: Turn the mode.",
        f"The step is: {procedure.steps[1].say}. Now you say it.",
    ]


def test_gives_the_whole_step_once_more_after_another_try(procedure: Procedure) -> None:
    """A trainee who tries after the third rung, and fails, is not left alone with it."""
    play = scene(procedure)
    play.recite("flap")
    play.wait(28.0)
    play.says("turn the something")
    play.wait(10.0)
    assert play.purposes[-2:] == [Purpose.WHOLE_STEP, Purpose.WHOLE_STEP]


def test_speaking_again_takes_the_pause_back(procedure: Procedure) -> None:
    """A trainee who goes on just before the nudge is not interrupted, and the pause starts anew."""
    play = scene(procedure)
    play.recite("flap")
    play.wait(4.5)
    play.recite("drum")
    play.wait(4.5)
    assert play.said == []


def test_the_first_step_gets_more_time_and_its_own_nudge(procedure: Procedure) -> None:
    """Before anything was said the nudge comes later and asks for the beginning."""
    play = scene(procedure)
    play.wait(8.0)
    assert play.said == []
    play.wait(2.0)
    assert play.said == ["Take your time. How does it begin?"]


def test_close_help_comes_sooner(procedure: Procedure) -> None:
    """The level is the trainee's choice of pause."""
    times = {}
    for level in (Level.STEADY, Level.CLOSE):
        play = scene(procedure, level)
        play.recite("flap")
        play.wait(10.0)
        times[level] = next(
            at for at, act in play.log if act == Say("What comes next?", Purpose.NUDGE)
        )
    assert times[Level.CLOSE] < times[Level.STEADY]


def test_corrects_a_wrong_critical_step_at_once(procedure: Procedure) -> None:
    """The correction says what was heard and what is right, once, and the retry is welcome."""
    play = scene(procedure)
    play.recite("flap")
    play.says("turn the drum to disarmed", drum=WRONG)
    play.wait(2.0)
    correction = f"Not yet. {DISARMED} Say that step again."
    assert play.said == [correction]
    play.wait(3.0)
    play.recite("drum", "pin", "panes", "call")
    play.wait(5.0)
    assert play.said == [correction, "Well done. You said all 5 steps."]


def test_corrects_a_second_wrong_try_but_not_a_third(procedure: Procedure) -> None:
    """Each wrong saying is a new one, yet the trainee is not sent back for ever."""
    play = scene(procedure)
    for _ in range(4):
        play.says("turn the drum to disarmed", drum=WRONG)
        play.wait(3.0)
    assert play.purposes.count(Purpose.CORRECTION) == 2


def test_waits_for_a_corrected_step_with_the_step_itself(procedure: Procedure) -> None:
    """Who does not say the corrected step again is given it once, and then the next one."""
    play = scene(procedure)
    play.says("turn the drum to disarmed", drum=WRONG)
    play.wait(12.0)
    assert play.purposes == [Purpose.CORRECTION, Purpose.WHOLE_STEP]
    assert "Turn the mode drum" in play.said[-1]
    play.wait(10.0)
    assert play.said[-1] == "What comes next?"


def test_leaves_other_mistakes_to_the_end(procedure: Procedure) -> None:
    """A wrong step that is not critical is not mentioned before the debrief."""
    play = scene(procedure)
    play.says("close the flap and push the pin", flap=WRONG)
    play.wait(1.0)
    play.recite("drum", "pin", "panes", "call")
    assert play.said == []
    play.wait(8.0)
    assert play.said == [f"You said 4 of 5 steps. {DISARMED}"]


def test_does_not_correct_into_the_next_utterance(procedure: Procedure) -> None:
    """A trainee already speaking again finishes first, and mends the step unaided."""
    play = scene(procedure)
    onset = play.now
    play.event(SpeechStarted(onset))
    play.wait(1.5)
    end = play.now
    play.wait(0.4)
    play.event(SpeechStarted(play.now))  # "no, armed" has begun before the first was decoded
    play.judge("drum", WRONG, onset, "to disarmed")
    play.event(Heard(onset, end, "turn the drum to disarmed"))
    play.wait(1.0)
    assert play.said == []
    play.judge("drum", SAID, onset, "no, armed")
    play.event(Heard(end + 0.4, play.now, "no, armed"))
    play.wait(3.0)
    assert play.said == []


def test_warns_of_a_forbidden_action_once(procedure: Procedure) -> None:
    """A dangerous extra is told at once, and not again."""
    play = scene(procedure)
    play.recite("flap")
    extra = Extra("pull the toggle", True, "The toggle stays under its cover.", play.now, play.now)
    play.result = replace(play.result, extras=(extra,))
    play.says("pull the toggle")
    play.wait(4.0)
    assert play.said == ["Careful. The toggle stays under its cover."]


def test_asks_once_for_an_unclear_critical_step(procedure: Procedure) -> None:
    """The same step is never asked for twice, even when it stays unclear."""
    play = scene(procedure)
    for _ in range(3):
        play.says("turn the mumble", drum=UNCLEAR)
        play.wait(4.0)
    assert play.purposes == [Purpose.ASK]
    assert play.said == ["I did not catch that clearly. Please say that step once more."]


def test_an_unclear_step_among_others_is_named(procedure: Procedure) -> None:
    """When "that step" could be another, the question gives the first words of the one meant."""
    play = scene(procedure)
    play.says("open the flap and turn the mumble", flap=SAID, drum=UNCLEAR)
    play.wait(2.0)
    assert "the step that begins: Turn the mode." in play.said[0]


def test_an_unclear_step_that_is_not_critical_is_let_be(procedure: Procedure) -> None:
    """A correct speaker is not made to repeat what does not matter."""
    play = scene(procedure)
    play.says("open the mumble", flap=UNCLEAR)
    play.wait(4.0)
    assert play.said == []


def test_nudges_for_more_of_a_half_said_step(procedure: Procedure) -> None:
    """After a pause the help is about the step that was only half said."""
    play = scene(procedure)
    play.says("open the flap", flap=INCOMPLETE)
    play.wait(8.0)
    assert play.said == ["There is more to that step."]
    play.wait(10.0)
    assert play.purposes == [Purpose.NUDGE, Purpose.WHOLE_STEP]


def test_a_hint_on_a_half_said_step_gives_all_of_it(procedure: Procedure) -> None:
    """Its first words are what the trainee has said already."""
    play = scene(procedure)
    play.says("open the flap", flap=INCOMPLETE)
    play.says("a hint")
    play.wait(2.0)
    assert play.said == [f"The step is: {procedure.steps[0].say}. Now you say it."]


def test_a_quiet_run_says_nothing_until_the_end(procedure: Procedure) -> None:
    """No correction, no question and no help between the welcome and the debrief."""
    play = scene(procedure, Level.QUIET)
    play.recite("flap")
    play.says("turn the drum to disarmed", drum=WRONG)
    play.wait(30.0)
    play.says("mumble", panes=UNCLEAR)
    play.wait(20.0)
    assert play.said == []
    play.wait(30.0)
    assert play.purposes == [Purpose.DEBRIEF]
    assert play.endings == ["silence"]


@pytest.mark.parametrize("spoken", ["a hint please", "skip this step", "how am I doing?"])
def test_a_quiet_run_puts_requests_for_help_off(procedure: Procedure, spoken: str) -> None:
    """Asking changes nothing in a quiet run, and the answer gives nothing away."""
    play = scene(procedure, Level.QUIET)
    play.says(spoken)
    play.wait(3.0)
    assert play.said == ["I stay quiet until the end."]


def test_the_last_step_and_a_pause_close_the_take(procedure: Procedure) -> None:
    """Steps left out are told in the debrief; there is time to mend them before it."""
    play = scene(procedure)
    play.recite("flap", "drum", "pin", "call")
    play.wait(2.0)
    assert play.endings == []
    play.wait(8.0)
    assert play.said == [
        "You said 4 of 5 steps. You left out: Check both witness panes show the amber band."
    ]
    assert play.endings == ["finished"]


def test_a_half_heard_last_step_does_not_close_the_take(procedure: Procedure) -> None:
    """An unclear last step far ahead of its turn may be something else."""
    play = scene(procedure)
    play.recite("flap")
    play.says("door two left mumble", call=UNCLEAR)
    play.wait(9.0)
    assert Purpose.DEBRIEF not in play.purposes


def test_a_free_order_waits_for_every_step(procedure: Procedure) -> None:
    """Where the order is free the last step of the file ends nothing."""
    play = scene(replace(procedure, order="free"))
    play.recite("call")
    play.wait(7.0)
    assert Purpose.DEBRIEF not in play.purposes
    assert play.said == ["What comes next?"]


def test_long_silence_closes_the_take(procedure: Procedure) -> None:
    """A trainee who has gone gets a debrief, and the take says why it ended."""
    play = scene(procedure)
    play.wait(90.0)
    assert play.purposes[-1] is Purpose.DEBRIEF
    assert play.said[-1].startswith("I did not hear any of the 5 steps.")
    assert play.endings == ["silence"]


def test_stop_closes_with_the_debrief(procedure: Procedure) -> None:
    """On stop, listening ends before the debrief begins, and the take after it."""
    play = scene(procedure)
    play.recite("flap")
    play.says("stop please")
    play.wait(4.0)
    kinds = [type(action) for _, action in play.log[1:]]
    assert kinds == [StopListening, Say, Finish]
    assert play.endings == ["stopped"]


def test_a_hint_gives_the_first_words_then_the_step(procedure: Procedure) -> None:
    """Who asks for help gets more than a nudge, and the next time all of it."""
    play = scene(procedure)
    play.recite("flap")
    play.says("er, can I have a hint please")
    play.wait(3.0)
    play.says("a hint")
    play.wait(3.0)
    assert play.purposes == [Purpose.FIRST_WORDS, Purpose.WHOLE_STEP]


def test_say_again_repeats_the_last_prompt(procedure: Procedure) -> None:
    """The same words once more, the welcome included."""
    play = scene(procedure)
    play.says("say that again")
    play.wait(3.0)
    assert play.said == ["Arm door 2 left, in 5 steps. Begin when you are ready."]


def test_skip_goes_on_and_leaves_the_step_not_said(procedure: Procedure) -> None:
    """Help turns to the step after it, and the debrief counts it as left out."""
    play = scene(procedure)
    play.recite("flap")
    play.says("skip this step")
    play.wait(3.0)
    play.says("a hint")
    play.wait(3.0)
    assert play.said == ["Skipped. Carry on.", "It begins: Let the spring."]
    play.recite("pin", "panes", "call")
    play.wait(8.0)
    assert play.said[-1].startswith("You said 4 of 5 steps. You left out: Turn the mode drum")


def test_start_over_forgets_the_run(procedure: Procedure) -> None:
    """The session is told to judge anew, and what was asked or helped counts no more."""
    play = scene(procedure)
    play.recite("flap")
    play.says("turn the mumble", drum=UNCLEAR)
    play.wait(4.0)
    play.says("start over")
    play.wait(3.0)
    assert Restart() in [action for _, action in play.log]
    assert play.said[-1] == "We start over. Begin when you are ready."
    play.says("turn the mumble", drum=UNCLEAR)
    play.wait(3.0)
    assert play.purposes.count(Purpose.ASK) == 2


def test_how_am_i_doing_counts_without_naming(procedure: Procedure) -> None:
    """Progress is told in numbers, so that nothing is given away."""
    play = scene(procedure)
    play.recite("flap")
    play.says("turn the drum to disarmed", drum=WRONG)
    play.wait(4.0)
    play.says("how am I doing?")
    play.wait(3.0)
    assert play.said[-1] == "You have said 1 of 5 steps. 1 was wrong."


def test_help_lists_what_can_be_said(procedure: Procedure) -> None:
    """Every listed request is one that this procedure lets through."""
    play = scene(procedure)
    play.says("what can I say?")
    play.wait(3.0)
    assert play.said[0].startswith("You can say: give me a hint, say again, skip this step")


def test_i_am_finished_closes_the_take(procedure: Procedure) -> None:
    """The trainee can end a run whose last step has no fixed place."""
    play = scene(procedure)
    play.recite("flap")
    play.says("I'm finished")
    play.wait(4.0)
    assert play.endings == ["finished"]


def test_yields_when_the_trainee_begins_to_speak(procedure: Procedure) -> None:
    """A prompt under way is hushed, and nothing is said until the utterance is understood."""
    play = scene(procedure)
    play.recite("flap")
    play.wait(5.5)
    assert play.purposes == [Purpose.NUDGE]
    play.says("turn the drum to armed", seconds=20.0, drum=SAID)
    assert play.log[-1][1] == Hush()
    play.wait(3.0)
    assert play.purposes == [Purpose.NUDGE]


def test_noise_taken_for_speech_holds_the_coach_only_meanwhile(procedure: Procedure) -> None:
    """A ghost neither counts as speech nor leaves the coach waiting for its end."""
    play = scene(procedure)
    play.recite("flap")
    play.event(SpeechStarted(play.now))
    play.wait(10.0)
    assert play.said == []
    play.event(Ghost(play.now - 10.0, play.now, "thank you", "noise"))
    assert play.said == ["What comes next?"]


def test_the_end_of_a_recording_is_debriefed(procedure: Procedure) -> None:
    """When the sound ends in mid-utterance the coach closes with the reason it was given."""
    play = scene(procedure)
    play.event(SpeechStarted(play.now))
    play.event(Ended(play.now, "end of recording"))
    play.wait(4.0)
    assert play.purposes == [Purpose.DEBRIEF]
    assert play.endings == ["end of recording"]


def test_a_lost_prompt_end_does_not_silence_the_coach_for_good(procedure: Procedure) -> None:
    """Should a prompt's end never be reported, the coach speaks again after a while."""
    play = scene(procedure)
    play.recite("flap")
    play.event(PromptStarted(play.now, "lost", "nudge"))
    play.wait(30.0)
    assert play.said == []
    play.wait(15.0)
    assert play.said == ["What comes next?"]


def test_an_unknown_request_changes_nothing(procedure: Procedure) -> None:
    """A request of a newer version in the log is passed over."""
    play = scene(procedure)
    play.event(Requested(play.now, "sing", "sing"))
    play.wait(1.0)
    assert play.said == []
