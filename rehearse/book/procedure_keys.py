"""Every key of a procedure file, with what it may hold and what it means."""

from __future__ import annotations

from rehearse.book import fields
from rehearse.book.shape import Choice, Entries, Entry, One, Own, Several

MAX_STEPS = 200

NUMBER = One("number", fields.whole_number, "The number of this issue of the text.", required=True)
EFFECTIVE = One("effective", fields.day, "The day it takes effect, year-month-day.", required=True)
SOURCE = One("source", fields.label, "The manual and its paragraph.", required=True)
REVISION = (NUMBER, EFFECTIVE, SOURCE)

CRITICAL_RULE = Choice(("all", "none"))
PASS_CRITICAL = One(
    "critical", CRITICAL_RULE, "Whether every critical step must be said; all when left out."
)
SHARE = One("share", fields.fraction, "The least share of all steps, 0 to 1; 1 when left out.")
WITHIN = One("within", fields.seconds, "Seconds from the first word to the last step.")
PASS = (PASS_CRITICAL, SHARE, WITHIN)

NAMED = Several("named", fields.sentence, '["..."]', "Phrases of 'say' that a saying must name.")
SPARE = Several(
    "spare", fields.sentence, '["..."]', "Phrases of 'say' that a saying may leave out."
)
CONTRASTS = Own(
    "contrasts",
    fields.sentence,
    listed=True,
    about="Phrases of 'say', each with what must not be said in its place.",
    least=1,
)
DEMANDS = (NAMED, SPARE, CONTRASTS)

STEP_ID = One("id", fields.identifier, "The step's own id.", required=True)
SAY = One(
    "say", fields.sentence, "The sentence as the manual has it, one or two facts.", required=True
)
CRITICAL = One("critical", fields.truth, "Whether it must never be credited unless it was said.")
COMMAND = One("command", fields.truth, "Whether it is shouted, and judged word by word.")
ALSO = Several("also", fields.sentence, '["..."]', "Other wordings that count as said.")
NEVER = Several("never", fields.sentence, '["..."]', "Statements that must not be accepted.")
AFTER = Several(
    "after", fields.identifier, "[drum]", "Ids of the steps it must follow; [] for none."
)
REASON = One("reason", fields.sentence, "What happens otherwise, in one sentence.")
STEP = (
    STEP_ID,
    SAY,
    CRITICAL,
    COMMAND,
    ALSO,
    NEVER,
    AFTER,
    REASON,
    Entry("demands", DEMANDS, "Corrections to what the judge demands of the step."),
)

PROCEDURE_ID = One("procedure", fields.identifier, "The procedure's id.", required=True)
TITLE = One("title", fields.title, "What it is called; also said aloud.", required=True)
AIRCRAFT = One("aircraft", fields.identifier, "The aircraft's id.", required=True)
LANGUAGE = One("language", fields.language, "The language that is spoken, as en.", required=True)
POSITIONS = Several(
    "positions", fields.position, "[C4]", "Crew positions; every one when left out."
)
ORDER_RULE = Choice(("strict", "free"))
ORDER = One(
    "order",
    ORDER_RULE,
    "strict: a step follows every step above it; free: only what its 'after' names.",
)
TOPIC = One(
    "topic", fields.identifier, "What it is about, the same for every aircraft; as arm-door."
)
PROCEDURE = (
    PROCEDURE_ID,
    TITLE,
    AIRCRAFT,
    LANGUAGE,
    Entry("revision", REVISION, "Which issue of the operator's text this is.", required=True),
    Entries("steps", STEP, "What is to be said.", required=True, least=1, most=MAX_STEPS),
    POSITIONS,
    TOPIC,
    ORDER,
    Entry("pass", PASS, "When a take passes."),
)
