"""A critical step that is denied, or only asked about, is never credited."""

from pathlib import Path

import pytest

from rehearse.book import shelf
from rehearse.book.model import Procedure, Step
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.polarity import asks, denied_outright
from rehearse.judge.verdict import Verdict
from rehearse.language.english import English

TESTS = Path(__file__).parents[1]
# Those with cases in the corpus; `rehearse bench rehearsal` tries every procedure there is.
BOOK = [
    procedure
    for procedure in shelf.all_procedures([shelf.SHIPPED])
    if (TESTS / "corpus" / "steps" / f"{procedure.id}.jsonl").exists()
]
AFFIRMED = [
    (procedure, step)
    for procedure in BOOK
    for step in procedure.steps
    if step.critical
    and not step.command
    and not step.say.lower().startswith(("do not", "never", "if", "when", "both"))
    and " not " not in step.say
]


def _verdict(procedure: Procedure, step: Step, text: str, readers: Readers) -> Verdict:
    assessor = Assessor(procedure, readers, English())
    assessor.add(Heard(0.0, 5.0, text))
    return assessor.result().step(step.id).verdict


@pytest.mark.parametrize("denial", ["never", "do i"])
def test_a_denied_step_loses_its_credit(denial: str, real: Readers) -> None:
    """The canonical sentence of every affirmed critical step, denied, is not said."""
    credited = [
        step.say
        for procedure, step in AFFIRMED
        if _verdict(procedure, step, f"{denial} {step.say[0].lower()}{step.say[1:]}", real)
        is Verdict.SAID
    ]
    assert len(AFFIRMED) > 30
    assert credited == []


def test_the_same_steps_are_said_without_the_denial(real: Readers) -> None:
    """What the denials take away is there to be taken."""
    for procedure, step in AFFIRMED:
        assert _verdict(procedure, step, step.say, real) is Verdict.SAID


ENGLISH = English()
DRUM = "turn the mode drum a quarter turn towards the hinge to armed"


def denies(step: str, said: str) -> bool:
    """Whether the saying denies the step, or only asks about it."""
    wanted, got = ENGLISH.tokens(step.split()), ENGLISH.tokens(said.split())
    return denied_outright(wanted, got, ENGLISH) or asks(wanted, got, ENGLISH)


@pytest.mark.parametrize(
    "said",
    [
        f"nobody {DRUM.replace('turn', 'turns', 1)}",
        f"none of us {DRUM.replace('turn', 'turns', 1)}",
        f"i would have {DRUM.replace('turn', 'turned', 1)}",
        f"i should've {DRUM.replace('turn', 'turned', 1)}",
        f"and then i was going to {DRUM}",
        f"well um i forgot to {DRUM}",
        f"without {DRUM.replace('turn', 'turning', 1)}",
        f"instead of {DRUM.replace('turn', 'turning', 1)}",
        f"there is no need to {DRUM}",
        f"i am not going to {DRUM}",
        f"i have not yet {DRUM.replace('turn', 'turned', 1)}",
        f"{DRUM} no not yet",
        f"{DRUM} no i did not",
        f"{DRUM} well actually no that is wrong",
        "i would have rotated the drum to armed",
    ],
)
def test_ways_of_denying(said: str) -> None:
    """However the step is denied, called undone or taken back, it is denied."""
    assert denies(DRUM, said)


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (DRUM, DRUM),
        (DRUM, f"i do not forget to {DRUM}"),
        (DRUM, f"{DRUM} and not to disarmed"),
        (DRUM, f"{DRUM} no problem"),
        (DRUM, "the drum goes a quarter turn to armed and i never turn it away from the hinge"),
        ("Hold the passengers back for six seconds",
         "nobody gets past me i hold the passengers back for six seconds"),
        ("Check both panes show amber", "i should have both panes amber"),
        ("Pull the toggle even if the slide is filling", "i pull it whether it is filling or not"),
        ("Look through the window for fire, water and obstacles",
         "at the window fire no water no obstacles no"),
        ("Finish your own door before you cross over",
         "i do not cross over before my own door is finished"),
        ("Check that the sill is clear", "the sill is clear nothing there"),
        ("Do not open the door", "i do not open the door"),
    ],
)  # fmt: skip
def test_what_denies_nothing(step: str, said: str) -> None:
    """A "not" about something else, or one that the step has too, takes no credit."""
    assert not denies(step, said)
