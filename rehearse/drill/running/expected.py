"""What a drill leads the recogniser to expect, and when one of its shouts has ended."""

from __future__ import annotations

from dataclasses import replace

from rehearse.book.model import Procedure, Step
from rehearse.drill.model import Drill
from rehearse.drill.procedure import procedure_of
from rehearse.drill.running.spoken import phrases
from rehearse.hear.endpoint import EndpointRule
from rehearse.hear.expectation import expect
from rehearse.hear.recogniser import Expectation
from rehearse.language import Language

# Shouts follow each other closely and a drill must not wait for a breath: an utterance ends
# sooner than in ordinary speech, and is cut sooner. A command that is parted by it is put together
# again (`rehearse.drill.scoring.shouts`). After a cue hearing begins once the room has died away.
RULE = EndpointRule(pause=0.45, longest=8.0, tail=0.2)


def expected(drill: Drill, language: Language) -> Expectation:
    """Every answer of every stage, what must not be said, and the opposites of all, alike.

    language: with the operator's own words.
    """
    stops = phrases(drill.language).listed("stop")
    stop = stops[0]  # the one that the welcome teaches must be heard in a shout too
    found = expect(as_procedure(drill), language, stops)
    never = (text for stage in drill.stages for text in stage.never)
    contrasts = dict.fromkeys((*never, *found.contrasts))
    commands = (
        text
        for stage in drill.stages
        for answer in stage.answers
        if answer.command
        for text in answer.wordings
    )
    return replace(
        found,
        contrasts=tuple(text for text in contrasts if text not in found.wordings),
        commands=tuple(dict.fromkeys((*commands, stop))),
    )


def as_procedure(drill: Drill) -> Procedure:
    """All that may be said in a drill, as the steps of one procedure; it is never judged."""
    steps = (
        Step(
            f"{stage.id}.{answer.id}",
            answer.say,
            critical=answer.critical,
            command=answer.command,
            also=answer.also,
        )
        for stage in drill.stages
        for answer in stage.answers
    )
    return procedure_of(drill, drill.id, steps)
