"""What the coach has to say when nobody speaks: corrections, questions and help after a pause.

Each function gives what is to be said with the memory of the run afterwards, or None when there
is nothing to say.
"""

from __future__ import annotations

from dataclasses import replace

from rehearse.book.model import Step
from rehearse.coach.actions import Purpose, Say
from rehearse.coach.pace import MOST_CORRECTIONS, Pace
from rehearse.coach.progress import latest, same_breath, told_as_step, upcoming
from rehearse.coach.run import Run, Rung
from rehearse.coach.situation import Situation
from rehearse.coach.wording import first_words, sentence
from rehearse.judge.verdict import Result, StepResult, Verdict

Spoken = tuple[Say, Run]


def correction(here: Situation) -> Spoken | None:
    """The correction of a critical step that was said wrongly, or of a forbidden action."""
    result, run, book = here.result, here.run, here.book
    for step in here.procedure.steps:
        found = result.step(step.id)
        told = (step.id, found.start) in run.corrected
        often = run.corrections(step.id) >= MOST_CORRECTIONS
        if step.critical and found.verdict is Verdict.WRONG and not told and not often:
            text = book.text("correction", why=sentence(found.why))
            return Say(text, Purpose.CORRECTION), run.with_correction(found)
    for extra in result.extras:
        told = (extra.heard, extra.start) in run.warned or told_as_step(extra, result)
        if extra.dangerous and not told:
            text = book.text("danger", why=sentence(extra.why))
            return Say(text, Purpose.CORRECTION), run.with_warning(extra)
    return None


def question(here: Situation) -> Spoken | None:
    """The one request to say an unclear critical step again."""
    for step in here.procedure.steps:
        found = here.result.step(step.id)
        unasked = step.id not in here.run.asked | here.run.skipped
        if step.critical and found.verdict is Verdict.UNCLEAR and unasked:
            text = here.book.text("unclear")
            if not _spoken_last_and_alone(found, here.result):
                text = here.book.text("unclear_named", words=first_words(step.say))
            return Say(text, Purpose.ASK), here.run.with_question(step.id)
    return None


def _spoken_last_and_alone(found: StepResult, result: Result) -> bool:
    """Whether "that step" can only mean this one."""
    spoken = [step for step in result.steps if step.verdict is not Verdict.NOT_SAID]
    alone = not any(same_breath(found, step) for step in spoken if step.id != found.id)
    last = latest(result)
    return alone and last is not None and last.id == found.id


def target(here: Situation) -> Step | None:
    """The step that help is about: the corrected one, a half-said one, or the next."""
    run = here.run
    if run.again is not None:
        return here.procedure.step(run.again)
    last = latest(here.result)
    half_said = (
        last is not None
        and last.verdict is Verdict.INCOMPLETE
        and last.id not in run.skipped
        and run.rung(last.id) < Rung.WHOLE_STEP
    )
    if last is not None and half_said:
        return here.procedure.step(last.id)
    return upcoming(here.procedure, here.result, run.skipped)


def help_after(here: Situation, pause: float, pace: Pace) -> Spoken | None:
    """The next rung of help, when the pause (seconds) has been long enough for it."""
    step = target(here)
    if step is None or here.run.rung(step.id) is Rung.WHOLE_STEP:
        return None
    rung = next_rung(here, step)
    waits = {
        Rung.NUDGE: pace.nudge + (0.0 if here.run.spoke else pace.start_grace),
        Rung.FIRST_WORDS: pace.first_words,
        Rung.WHOLE_STEP: pace.whole_step,
    }
    return on_rung(here, rung, step) if pause >= waits[rung] else None


def next_rung(here: Situation, step: Step) -> Rung:
    """How much to give away next. The first words of a half-said step are no help."""
    half_said = here.result.step(step.id).verdict is Verdict.INCOMPLETE
    rung = min(Rung.WHOLE_STEP, here.run.rung(step.id) + 1)
    return Rung.WHOLE_STEP if half_said and rung > Rung.NUDGE else Rung(rung)


def on_rung(here: Situation, rung: Rung, step: Step) -> Spoken:
    """The help of one rung for one step."""
    helped = here.run.helped(step.id, rung)
    if rung is Rung.NUDGE:
        half_said = here.result.step(step.id).verdict is Verdict.INCOMPLETE
        name = "nudge_more" if half_said else "nudge_next" if helped.spoke else "nudge_start"
        return Say(here.book.text(name), Purpose.NUDGE), helped
    if rung is Rung.FIRST_WORDS:
        words = first_words(step.say)
        return Say(here.book.text("first_words", words=words), Purpose.FIRST_WORDS), helped
    if helped.again == step.id:
        helped = replace(helped, again=None)
    text = here.book.text("whole_step", step=sentence(step.say))
    return Say(text, Purpose.WHOLE_STEP), helped
