"""What the reports of the tests are about: people, checks and practice at Fellmark Air."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from hashlib import sha256

import pytest

from rehearse.judge.verdict import Verdict
from rehearse.paper.values import (
    Beyond,
    Candidate,
    CheckedStep,
    CheckRecord,
    ClassSheet,
    Column,
    ElementRecord,
    Heading,
    OpenPoint,
    Outcome,
    Overrule,
    OwnPage,
    Person,
    Practice,
    PractisedStep,
    Retraining,
    Signature,
    Standing,
    TrainingRecord,
)


def digest(of: str) -> str:
    """A digest like those of a store's chain."""
    return sha256(of.encode()).hexdigest()


HEADING = Heading(
    operator="Fellmark Air",
    aircraft="Tarn 240",
    revision="Training programme revision 4, effective 2026-10-01",
    chain_head=digest("chain"),
    chain_rows=18204,
    made=datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
    zone="Europe/London",
)
CANDIDATE = Person("F1042", "Ines Okafor", ("C4", "C5"), ("Tarn 240",))
EXAMINER = Person("F0007", "Torvald Brandt", ("C1",), ("Tarn 240", "Tarn 120"))
TEACHER = Person("F0011", "Mara Quill")
SIGNATURE = Signature(
    EXAMINER,
    "instructor",
    datetime(2026, 10, 3, 14, 5, tzinfo=UTC),
    digest("key"),
    "Arm door 2 left, check of 2026-10-03",
)
OVERRULE = Overrule(
    "Step 4: check both witness panes",
    Verdict.UNCLEAR,
    Verdict.SAID,
    "The horn covered one word; both panes are named on the recording at 0:14.",
    EXAMINER,
    datetime(2026, 10, 3, 13, 58, tzinfo=UTC),
)
TITLES = (
    "Arm and disarm doors",
    "Emergency opening of a door",
    "Evacuation commands",
    "Cabin fire",
    "Smoke in the lavatory",
    "Rapid loss of pressure",
    "Unlawful interference",
    "Ditching: donning life vests",
    "Incapacitated crew member",
    "First aid: resuscitation",
    "Dangerous goods in the cabin",
    "Pre-flight check of equipment",
    "Overwing exits",
    "Passenger briefing at exits",
    "Turbulence",
    "Lithium battery fire",
)


def element(number: int, standing: Standing = Standing.CURRENT) -> ElementRecord:
    """One element, checked unless it stands as not yet checked."""
    title = TITLES[number % len(TITLES)]
    if standing is Standing.NOT_YET:
        return ElementRecord(f"e{number:02d}", title, standing, "Programme 3.2")
    passed = standing is not Standing.RETRAINING
    return ElementRecord(
        id=f"e{number:02d}",
        title=title,
        standing=standing,
        rule=f"Programme 3.{number}, every 12 months",
        checked=date(2026, 10, 3),
        method="oral" if number % 2 else "practical",
        outcome=Outcome.PASSED if passed else Outcome.NOT_PASSED,
        examiner=EXAMINER,
        revision="3 of 2026-10-01",
        valid_until=date(2027, 10, 31) if passed else None,
        signatures=(SIGNATURE,) if number == 0 else (),
    )


@pytest.fixture
def training() -> TrainingRecord:
    """A record of seventeen elements with every standing."""
    standings = [*Standing] + [Standing.CURRENT] * 9
    elements = [element(number, standing) for number, standing in enumerate(standings)]
    first = elements[0]
    elements[0] = ElementRecord(
        **{**first.__dict__, "overrules": (OVERRULE,), "remark": "Calm and complete."}
    )
    failed = next(one for one in elements if one.standing is Standing.RETRAINING)
    elements[elements.index(failed)] = ElementRecord(
        **{
            **failed.__dict__,
            "retraining": (
                Retraining("Order of the handle and the slide", date(2026, 10, 3)),
                Retraining(
                    "Commands at a blocked exit", date(2025, 9, 1), date(2025, 9, 20), TEACHER
                ),
            ),
        }
    )
    return TrainingRecord(HEADING, CANDIDATE, date(2026, 11, 25), tuple(elements))


def people(count: int) -> list[Person]:
    """This many candidates."""
    first = ("Ines", "Jonas", "Petra", "Samuel", "Aiko", "Dmitri", "Leila", "Owen", "Tuva", "Noor")
    last = ("Okafor", "Lind", "Vasquez", "Achterberg", "Moreau", "Sato", "Haddad", "Pryce")
    return [
        Person(f"F{1042 + at}", f"{first[at % len(first)]} {last[at // 3 % len(last)]}")
        for at in range(count)
    ]


def sheet_of(candidates: int, elements: int) -> ClassSheet:
    """A class sheet of this size; outcomes repeat every seven cells."""
    cycle = (Outcome.PASSED,) * 4 + (Outcome.NOT_PASSED, Outcome.UNCLEAR, None)
    rows = [
        Candidate(
            person,
            tuple(cycle[(at * 3 + column) % 7] for column in range(elements)),
            "Commands loud and clear, handle forgotten once." if at % 5 == 0 else "",
        )
        for at, person in enumerate(people(candidates))
    ]
    open_points = [
        OpenPoint(
            row.person,
            TITLES[0],
            "Check both witness panes show the amber band and the sill lamp is lit",
            "both panes ... band and the lamp",
            14.2,
            "2026-10-03-101500-arm-door-2l",
        )
        for row in rows[:2]
    ]
    return ClassSheet(
        HEADING,
        "Recurrent training, group 3",
        date(2026, 10, 3),
        EXAMINER,
        tuple(Column(f"e{at:02d}", TITLES[at % len(TITLES)]) for at in range(elements)),
        tuple(rows),
        tuple(open_points),
        "Door trainer, hall 2",
        (SIGNATURE,),
    )


@pytest.fixture
def sheet() -> ClassSheet:
    """Twelve candidates, eight elements."""
    return sheet_of(12, 8)


SAYINGS = (
    ("Open the flap and pull the spring pin", Verdict.SAID, "open the flap and pull the pin"),
    (
        "Turn the mode drum a quarter turn towards the hinge to armed",
        Verdict.WRONG,
        "turn the drum away from the hinge",
    ),
    ("Let the spring pin snap home and close the flap", Verdict.INCOMPLETE, "the pin snaps home"),
    (
        "Check both witness panes show the amber band and the sill lamp is lit",
        Verdict.UNCLEAR,
        "both panes show the",
    ),
    ("Door two left armed and cross-checked", Verdict.NOT_SAID, ""),
    ("Report to the crew member in charge", Verdict.OUT_OF_ORDER, "reported to C1"),
)


@pytest.fixture
def check() -> CheckRecord:
    """An oral check with every verdict, one of them overruled."""
    steps = [
        CheckedStep(
            number=number,
            say=say,
            verdict=verdict,
            critical=number in {2, 4},
            heard=heard,
            start=number * 3.5 if heard else None,
            end=number * 3.5 + 2.25 if heard else None,
            why="" if verdict is Verdict.SAID else "The direction is turned round.",
            remark="Hesitated here." if number == 3 else "",
            overrules=(OVERRULE,) if number == 4 else (),
        )
        for number, (say, verdict, heard) in enumerate(SAYINGS, 1)
    ]
    return CheckRecord(
        heading=HEADING,
        procedure="arm-door-2l",
        title="Arm door 2 left",
        candidate=CANDIDATE,
        examiner=EXAMINER,
        taught_by=TEACHER,
        started=datetime(2026, 10, 3, 13, 15, tzinfo=UTC),
        outcome=Outcome.NOT_PASSED,
        steps=tuple(steps),
        take="2026-10-03-131500-arm-door-2l",
        log_digest=digest("log"),
        sound_digest=digest("sound"),
        facts=(("Consent to sound", "given, 2026-10-03"), ("Order", "random, seed 7731")),
        reasons=("Critical step 2 is wrong.", "1 of 6 steps is said; 80% are asked for."),
        beyond=(Beyond("turn the drum to disarmed", True, 31.4, "The procedure forbids it."),),
        remarks=("Asked once to speak louder.",),
        signatures=(SIGNATURE,),
    )


@pytest.fixture
def own() -> OwnPage:
    """Eight weeks of practice on three procedures."""
    start = datetime(2026, 10, 1, 18, 0, tzinfo=UTC)
    practices = [
        Practice(
            started=start + timedelta(days=at * 3 + offset),
            procedure=procedure,
            title=title,
            said=min(steps, base + at // 2),
            steps=steps,
            passed=base + at // 2 >= steps - 1,
            checked=at == 11,
        )
        for offset, (procedure, title, steps, base) in enumerate(
            (
                ("arm-door-2l", "Arm door 2 left", 6, 2),
                ("cabin-fire", "Cabin fire: find, fight, report", 9, 1),
                ("evacuation", "Evacuation at door 2 left", 8, 5),
            )
        )
        for at in range(12 if offset != 2 else 4)
    ]
    cycle = tuple(Verdict)
    steps = [
        PractisedStep(
            procedure="arm-door-2l" if number < 5 else "cabin-fire",
            title="Arm door 2 left" if number < 5 else "Cabin fire: find, fight, report",
            number=number % 5 + 1,
            say=SAYINGS[number % len(SAYINGS)][0],
            critical=number % 3 == 1,
            verdicts=tuple(
                Verdict.SAID if (at * number) % 7 < 4 else cycle[(at + number) % len(cycle)]
                for at in range(12)
            ),
        )
        for number in range(10)
    ]
    return OwnPage(HEADING, CANDIDATE, tuple(practices), tuple(steps))
