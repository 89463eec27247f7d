"""What the coach answers to a spoken request."""

from __future__ import annotations

from dataclasses import replace

from rehearse.coach.actions import Purpose, Say
from rehearse.coach.guidance import next_rung, on_rung, target
from rehearse.coach.pace import Level
from rehearse.coach.phrasebook import Phrasebook
from rehearse.coach.requests import Request, teachable
from rehearse.coach.run import Run, Rung
from rehearse.coach.situation import Situation
from rehearse.judge.verdict import Verdict


def answer(asked: str, here: Situation, level: Level) -> Run:
    """The memory of the run after a request, with the reply it is owed.

    In a quiet run everything but a repeat is put off to the end. A request that is none of
    `Request` changes nothing.
    """
    if level is Level.QUIET and asked != Request.AGAIN:
        return replace(here.run, owed=_reply(here.book.text("quiet")))
    replies = {
        Request.HINT: _hint,
        Request.SKIP: _skip,
        Request.AGAIN: _again,
        Request.PROGRESS: _progress,
        Request.HELP: _help,
    }
    return replies[Request(asked)](here) if asked in set(replies) else here.run


def _reply(text: str) -> Say:
    return Say(text, Purpose.REPLY)


def started_over(run: Run, book: Phrasebook) -> Run:
    """The memory of the new run when the trainee starts over, with the reply it is owed."""
    return Run(last=run.last, owed=_reply(book.text("restarted")))


def _again(here: Situation) -> Run:
    return replace(here.run, owed=here.run.last or _reply(here.book.text("nothing_said")))


def _help(here: Situation) -> Run:
    """What can be said, in words that this procedure does not use itself."""
    requests = ", ".join(teachable(here.procedure))
    return replace(here.run, owed=_reply(here.book.text("help", requests=requests)))


def restarted(run: Run, book: Phrasebook) -> Run:
    """The memory of the new run once the session has started over, asked aloud or otherwise.

    What was owed to the run before is dropped; the reply to "start over" itself is not.
    """
    fresh = started_over(run, book)
    return fresh if run.owed == fresh.owed else replace(fresh, owed=None)


def _hint(here: Situation) -> Run:
    """One rung further, and at least the first words: who asks for help wants more than a nudge."""
    step = target(here)
    if step is None:
        return replace(here.run, owed=_reply(here.book.text("nothing_left")))
    nudged = here.run if here.run.rung(step.id) else here.run.helped(step.id, Rung.NUDGE)
    rung = next_rung(replace(here, run=nudged), step)
    said, helped = on_rung(here, rung, step)
    return replace(helped, owed=said)


def _skip(here: Situation) -> Run:
    """The step whose turn it is has had it; nothing of it is given away."""
    step = target(here)
    if step is None:
        return replace(here.run, owed=_reply(here.book.text("nothing_left")))
    skipped = here.run.skipped | {step.id}
    return replace(here.run, skipped=skipped, again=None, owed=_reply(here.book.text("skipped")))


def _progress(here: Situation) -> Run:
    """How many steps were said and how many were wrong, naming none."""
    said = sum(step.verdict is Verdict.SAID for step in here.result.steps)
    wrong = sum(step.verdict is Verdict.WRONG for step in here.result.steps)
    steps = here.book.text("steps", count=len(here.result.steps))
    text = here.book.text("progress", said=said, steps=steps)
    if wrong:
        text = f"{text} {here.book.text('progress_wrong', count=wrong)}"
    return replace(here.run, owed=_reply(text))
