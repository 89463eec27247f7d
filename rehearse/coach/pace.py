"""How much help the trainee wants, and how long the coach waits before it speaks."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

WORDS_PER_MINUTE = 150  # calm, and the rate that the voice is asked for
DEBRIEF_SECONDS = 20.0  # longest closing debrief

# Pauses in seconds, for a trainee who wants steady help. They are starting values, chosen by
# ear on the example procedures: a person who recalls the next step begins within two to four
# seconds, so that a nudge after six does not cut in on one who is about to speak.
NUDGE_AFTER = 6.0
FIRST_WORDS_AFTER = 6.0  # after the nudge has been spoken
WHOLE_STEP_AFTER = 8.0  # after the first words have been spoken
START_GRACE = 3.0  # more time before the very first step: the trainee pictures the door
CORRECT_AFTER = 0.8  # "at once", yet not into the breath before "no, wait"
FINISH_AFTER = 5.0  # after the last step, when some step is not right: time to mend it
ALL_SAID_AFTER = 1.0  # after the last step, when all are said
SILENCE_AFTER = 40.0  # nothing said for so long: the trainee is gone

MOST_CORRECTIONS = 2  # of one step in one run; after that it waits for the debrief
FIRST_WORDS = 3  # how many words the second rung gives away
BRIEF_WORDS = 5  # by how many the debrief names a step when time is short

# Guards against a lost event, far beyond what a working session shows.
LOST_PROMPT = 40.0  # longer than the longest prompt and the slowest rendering
LOST_SPEECH = 120.0  # an utterance that was begun and of which nothing more is heard


class Level(StrEnum):
    """The trainee's choice of help."""

    QUIET = "quiet"  # welcome and debrief only: no help at all in between
    STEADY = "steady"  # help after a fair pause; wrong critical steps corrected at once
    CLOSE = "close"  # the same, sooner


@dataclass(frozen=True)
class Pace:
    """The pauses of one level, in seconds since the trainee or the coach last spoke."""

    start_grace: float
    nudge: float
    first_words: float
    whole_step: float
    finish: float
    silence: float


def pace(level: Level) -> Pace:
    """The pauses of a level. A quiet run waits longer for its end, since nobody helps on."""
    share = {Level.QUIET: 1.0, Level.STEADY: 1.0, Level.CLOSE: 0.6}[level]
    finish = 1.6 if level is Level.QUIET else 1.0
    return Pace(
        start_grace=START_GRACE * share,
        nudge=NUDGE_AFTER * share,
        first_words=FIRST_WORDS_AFTER * share,
        whole_step=WHOLE_STEP_AFTER * share,
        finish=FINISH_AFTER * finish,
        silence=SILENCE_AFTER,
    )
