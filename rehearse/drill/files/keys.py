"""Every key of a drill file, with what it may hold and what it means."""

from __future__ import annotations

from rehearse.book import fields, procedure_keys
from rehearse.book.procedure_keys import REVISION
from rehearse.book.shape import Choice, Entries, Entry, One, Several
from rehearse.drill.files.checks import Dotted, Draw, Number, Sound
from rehearse.drill.model import Outcome

MAX_STAGES = 40
MAX_ANSWERS = 10  # to one cue; nobody keeps more in mind
MAX_CAST = 8
LONGEST_WAIT = 120.0  # seconds; who waits longer thinks that the drill has stopped

VOICE = Number(1, MAX_CAST, "", "2", whole=True)
LIMIT = Number(0.5, 120.0, "seconds", "2.5")
LEVEL = Number(-20.0, 40.0, "dB", "10")
CHANCE = Number(0.01, 100.0, "", "2")
WAIT = Draw(Number(0.0, LONGEST_WAIT, "seconds", "4"))
GRACE = Number(0.0, 30.0, "seconds", "2")
STEP = Dotted("procedure and step", "evacuation-commands.belts")
ANSWER_NAME = Dotted("stage and answer", "signal.belts")
OUTCOME = Choice(tuple(outcome.value for outcome in Outcome))

ROLE = (
    One("id", fields.identifier, "Its own id.", required=True),
    One("name", fields.title, "Who that is, as shown.", required=True),
    One("voice", VOICE, "Which of the cast's voices, from 1; 1 when left out."),
)
CUE = (
    One("sound", Sound(), "The name of a sound."),
    One("holds", LIMIT, "Seconds that the sound goes on; its own length when left out."),
    One("role", fields.identifier, "Who speaks, an id of the cast."),
    One("says", fields.sentence, "Their words; after the sound, when there is one."),
    One("wait", WAIT, "Seconds before it, or the earliest and latest, as [3, 9]; 0 left out."),
)
ANSWER = (
    One("id", fields.identifier, "Its own id; the step's when left out."),
    One("step", STEP, "The step of a procedure whose words it has, as PROCEDURE.STEP."),
    One("say", fields.sentence, "The words, when no procedure has them."),
    Several("also", fields.sentence, '["..."]', "Other words that count alike."),
    One("command", fields.truth, "Whether it is judged word by word; true when left out."),
    One("critical", fields.truth, "Whether the drill fails without it; true when left out."),
    One("within", LIMIT, "Longest time from the cue to its first word, seconds."),
    One("every", LIMIT, "Longest time from the start of one saying to the next, seconds."),
    One("lasts", LIMIT, "How long it goes on, from its first word, seconds."),
    One("louder", LEVEL, "Least level over the speaker's calm voice, dB."),
    One("calmer", LEVEL, "Greatest level over the speaker's calm voice, dB."),
)
BRANCH = (
    One("to", fields.identifier, "The stage that follows, or end.", required=True),
    Several("if", OUTCOME, "[answered]", "After which outcomes; all of them when left out."),
    One("chance", CHANCE, "Its weight against the others; 1 when left out."),
)
STAGE = (
    One("id", fields.identifier, "Its own id.", required=True),
    Entry("cue", CUE, "What is heard.", required=True),
    Entries("answers", ANSWER, "What must be said, in this order.", most=MAX_ANSWERS),
    Several("never", fields.sentence, '["..."]', "What must not be said in this stage."),
    Several("silences", ANSWER_NAME, "[signal.belts]", "Answers that must stop at the cue."),
    One("grace", GRACE, "Seconds in which those may still be said; 2 when left out."),
    One("until", LIMIT, "Seconds from the cue to the stage's end, if unanswered; 20 left out."),
    Entries("then", BRANCH, "What may follow; the end when left out."),
)
DRILL = (
    One("drill", fields.identifier, "The drill's id.", required=True),
    procedure_keys.TITLE,
    procedure_keys.AIRCRAFT,
    procedure_keys.LANGUAGE,
    Entry("revision", REVISION, "Which issue of the operator's text this is.", required=True),
    Entries(
        "stages",
        STAGE,
        "What happens; the first one begins.",
        required=True,
        least=1,
        most=MAX_STAGES,
    ),
    procedure_keys.POSITIONS,
    procedure_keys.TOPIC,
    Entries("cast", ROLE, "Who speaks in cues.", most=MAX_CAST),
)
