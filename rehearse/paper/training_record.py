"""The personal training record as a report: every element with its last check, and who signed."""

from __future__ import annotations

from collections import Counter

from rehearse.paper.entries import is_long, of_outcome, of_signatures, of_standing, of_verdict
from rehearse.paper.typeset import Draft, Tree
from rehearse.paper.values import ElementRecord, Standing, TrainingRecord
from rehearse.paper.wording import counted, day, minute, named


def training_record(record: TrainingRecord) -> Draft:
    """The record, ready to be set."""
    person = record.person
    facts = [
        ("Staff number", person.staff_number),
        ("Positions", ", ".join(person.positions)),
        ("Aircraft", ", ".join(person.aircraft)),
        ("As of", day(record.on)),
    ]
    signed = [one for element in record.elements for one in element.signatures]
    return Draft(
        layout="training_record",
        title="Personal training record",
        subject=named(person),
        heading=record.heading,
        texts={
            "subject_name": person.name,
            "facts": [list(fact) for fact in facts if fact[1]],
            "summary": summary(record),
            "elements": [_element(element) for element in record.elements],
            "overrules": _overrules(record),
            "retraining": _retraining(record),
            "signatures": of_signatures(record.heading, signed),
        },
    )


def summary(record: TrainingRecord) -> str:
    """How many elements stand how: "3 elements: 2 current, 1 overdue."."""
    found = Counter(element.standing for element in record.elements)
    told = ", ".join(f"{found[one]} {one.value}" for one in Standing if found[one])
    total = counted(len(record.elements), "element")
    return f"{total}: {told}." if told else f"{total}."


def _element(element: ElementRecord) -> Tree:
    examiner = element.examiner
    return {
        "title": f"{element.title} ({element.id})",
        "rule": element.rule,
        "revision": f"Revision {element.revision}" if element.revision else "",
        "remark": element.remark,
        "checked": day(element.checked),
        "method": element.method,
        "examiner": named(examiner),
        "outcome": of_outcome(element.outcome),
        "valid_until": day(element.valid_until),
        "standing": of_standing(element.standing),
        "long": is_long(element.title, element.rule, element.remark, named(examiner)),
    }


def _overrules(record: TrainingRecord) -> Tree:
    return [
        {
            "element": element.title,
            "about": one.about,
            "tool": of_verdict(one.tool),
            "instructor": of_verdict(one.instructor),
            "reason": one.reason,
            "by": named(one.by),
            "at": minute(record.heading, one.at),
            "long": is_long(element.title, one.about, one.reason, named(one.by)),
        }
        for element in record.elements
        for one in element.overrules
    ]


def _retraining(record: TrainingRecord) -> Tree:
    return [
        {
            "element": element.title,
            "what": one.what,
            "opened": day(one.opened),
            "closed": day(one.closed),
            "closed_by": named(one.closed_by),
            "long": is_long(element.title, one.what, named(one.closed_by)),
        }
        for element in record.elements
        for one in element.retraining
    ]
