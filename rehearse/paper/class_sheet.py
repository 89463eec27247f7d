"""The class sheet as a report: candidates down, elements across, what waits for the instructor."""

from __future__ import annotations

from rehearse.paper.entries import is_long, of_outcome, of_signatures
from rehearse.paper.letters import isolated
from rehearse.paper.typeset import Draft, Tree
from rehearse.paper.values import ClassSheet, OpenPoint, Outcome
from rehearse.paper.wording import clock, counted, day, named

UPRIGHT = 9  # elements across an upright sheet
FLAT = 15  # elements across a sheet turned on its side; more go into further tables


def class_sheet(sheet: ClassSheet) -> Draft:
    """The sheet, ready to be set."""
    facts = [
        ("Date", day(sheet.held)),
        ("Instructor", named(sheet.instructor)),
        ("Place", sheet.place),
        ("Candidates", str(len(sheet.candidates))),
    ]
    return Draft(
        layout="class_sheet",
        title="Class sheet",
        subject=f"{isolated(sheet.title)}, {day(sheet.held)}",
        heading=sheet.heading,
        texts={
            "heading": sheet.title,
            "flipped": len(sheet.columns) > UPRIGHT,
            "facts": [list(fact) for fact in facts if fact[1]],
            "summary": summary(sheet),
            "blocks": _blocks(sheet),
            "key": [
                {"number": str(number), "title": column.title, "id": column.id}
                for number, column in enumerate(sheet.columns, 1)
            ],
            "open_points": [_open_point(point) for point in sheet.open_points],
            "remarks": [
                {
                    "candidate": named(one.person),
                    "remark": one.remark,
                    "long": is_long(one.remark, one.person.name),
                }
                for one in sheet.candidates
                if one.remark
            ],
            "signatures": of_signatures(sheet.heading, sheet.signatures),
        },
    )


def summary(sheet: ClassSheet) -> str:
    """How many checks had which outcome: "12 checks: 10 passed, 2 not passed."."""
    outcomes = [one for candidate in sheet.candidates for one in candidate.outcomes if one]
    told = ", ".join(f"{outcomes.count(one)} {one.value}" for one in Outcome if one in outcomes)
    total = counted(len(outcomes), "check")
    return f"{total}: {told}." if told else f"{total}."


def _blocks(sheet: ClassSheet) -> Tree:
    width = UPRIGHT if len(sheet.columns) <= UPRIGHT else FLAT
    blocks: list[Tree] = []
    for first in range(0, len(sheet.columns), width):
        last = min(first + width, len(sheet.columns))
        whole = last - first == len(sheet.columns)
        blocks.append(
            {
                "title": "Results" if whole else f"Results, elements {first + 1} to {last}",
                "columns": [str(number) for number in range(first + 1, last + 1)],
                "rows": [
                    {
                        "number": str(number),
                        "name": candidate.person.name,
                        "staff_number": candidate.person.staff_number,
                        "long": is_long(candidate.person.name),
                        "outcomes": [of_outcome(one) for one in candidate.outcomes[first:last]],
                    }
                    for number, candidate in enumerate(sheet.candidates, 1)
                ],
            }
        )
    return blocks


def _open_point(point: OpenPoint) -> Tree:
    at = f"at {clock(point.second)} of {point.take}" if point.second is not None else point.take
    return {
        "candidate": named(point.candidate),
        "element": point.element,
        "step": point.step,
        "heard": point.heard,
        "at": at,
        "long": is_long(point.step, point.heard, point.element, point.candidate.name),
    }
