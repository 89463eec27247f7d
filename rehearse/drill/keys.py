"""Every key of a drill file, with what it may hold and what it means."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.book import fields, procedure_keys
from rehearse.book.faults import Faults, shown
from rehearse.book.fields import Placed
from rehearse.book.nodes import Items, Node, Scalar
from rehearse.book.procedure_keys import REVISION
from rehearse.book.shape import Choice, Entries, Entry, One, Several
from rehearse.drill.model import Outcome, Window

MAX_STAGES = 40
MAX_ANSWERS = 10  # to one cue; nobody keeps more in mind
MAX_CAST = 8
LONGEST_WAIT = 120.0  # seconds; who waits longer thinks that the drill has stopped


@dataclass(frozen=True)
class Number:
    """A check: a number within bounds. unit: what of, as "dB"; "" for a bare number."""

    low: float
    high: float
    unit: str
    example: str

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[float] | None:
        """As `rehearse.book.fields.Check` asks."""
        unit = f" {self.unit}" if self.unit else ""
        mend = f"write a number from {self.low:g} to {self.high:g}{unit}, as {self.example}"
        placed = fields.decimal(node, field, faults, mend)
        if placed is None or self.low <= placed.value <= self.high:
            return placed
        fault = f"{placed.value:g} is not between {self.low:g} and {self.high:g}{unit}"
        faults.add(placed.mark, field, fault, mend)
        return None


@dataclass(frozen=True)
class Dotted:
    """A check: two ids with a full stop between. of: what they are, as "procedure and step"."""

    of: str
    example: str

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[str] | None:
        """As `rehearse.book.fields.Check` asks."""
        mend = f"write {self.of} with a full stop between, as {self.example}"
        if not isinstance(node, Scalar):
            faults.add(node.mark, field, "one value belongs here", mend)
            return None
        parts = node.text.split(".")
        if len(parts) == 2 and all(map(fields.is_id, parts)):
            return Placed(node.text, node.mark)
        faults.add(node.mark, field, f"{shown(node.text)} does not name {self.of}", mend)
        return None


_WAIT = Number(0.0, LONGEST_WAIT, "seconds", "4")


def window(node: Node, field: str, faults: Faults) -> Placed[Window] | None:
    """A time in seconds, or the earliest and the latest, between which the seed draws."""
    if not isinstance(node, Items):
        fixed = _WAIT(node, field, faults)
        return None if fixed is None else Placed(Window(fixed.value, fixed.value), node.mark)
    mend = "write the earliest and the latest, as [3, 9]"
    if len(node.items) != 2:
        faults.add(node.mark, field, "this is no window of two times", mend)
        return None
    low, high = (_WAIT(item, f"{field}[{n}]", faults) for n, item in enumerate(node.items, 1))
    if low is None or high is None:
        return None
    if low.value > high.value:
        faults.add(node.mark, field, "the window ends before it begins", mend)
        return None
    return Placed(Window(low.value, high.value), node.mark)


VOICE = Number(1, MAX_CAST, "", "2")
LIMIT = Number(0.5, 120.0, "seconds", "2.5")
LEVEL = Number(-20.0, 40.0, "dB", "10")
CHANCE = Number(0.01, 100.0, "", "2")
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
    One("sound", fields.identifier, "The name of a sound."),
    One("holds", LIMIT, "Seconds that the sound goes on; its own length when left out."),
    One("role", fields.identifier, "Who speaks, an id of the cast."),
    One("says", fields.sentence, "Their words; after the sound, when there is one."),
    One("wait", window, "Seconds before it, or the earliest and latest, as [3, 9]; 0 left out."),
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
    Several("on", OUTCOME, "[answered]", "After which outcomes; all of them when left out."),
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
