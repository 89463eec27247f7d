"""The record of one oral check as a report: every step with its verdict and what it rests on."""

from __future__ import annotations

from rehearse.paper.entries import is_long, of_danger, of_outcome, of_signatures, of_verdict
from rehearse.paper.typeset import Draft, Tree
from rehearse.paper.values import Beyond, CheckedStep, CheckRecord, Heading
from rehearse.paper.wording import clock, grouped, minute, named, span, verdict


def check_record(record: CheckRecord) -> Draft:
    """The record, ready to be set."""
    facts = [
        ("Candidate", named(record.candidate)),
        ("Examiner", named(record.examiner)),
        ("Started", f"{minute(record.heading, record.started)}, {record.heading.zone}"),
        ("Taught by", named(record.taught_by)),
        ("Procedure", f"{record.procedure}, {record.heading.revision}"),
        *record.facts,
    ]
    return Draft(
        layout="check_record",
        title="Oral check",
        subject=named(record.candidate),
        heading=record.heading,
        texts={
            "heading": record.title,
            "facts": [list(fact) for fact in facts if fact[1]],
            "outcome": of_outcome(record.outcome),
            "reasons": list(record.reasons),
            "steps": [_step(record.heading, step) for step in record.steps],
            "beyond": [_beyond(one) for one in record.beyond],
            "remarks": list(record.remarks),
            "take": record.take,
            "log": grouped(record.log_digest),
            "sound": grouped(record.sound_digest),
            "signatures": of_signatures(record.heading, record.signatures),
        },
    )


def _step(heading: Heading, step: CheckedStep) -> Tree:
    return {
        "number": str(step.number),
        "say": step.say,
        "critical": "critical" if step.critical else "",
        "counts": of_verdict(step.counts),
        "tool": f"the tool: {verdict(step.verdict)}" if step.overrules else "",
        "heard": f"“{step.heard}”" if step.heard else "",
        "at": span(step.start, step.end),
        "why": step.why,
        "remark": step.remark,
        "overrules": [
            f"from {verdict(one.tool)} to {verdict(one.instructor)} by {named(one.by)}, "
            f"{minute(heading, one.at)}: {one.reason}"
            for one in step.overrules
        ],
        "long": is_long(
            step.say, step.heard, step.why, step.remark, *(one.reason for one in step.overrules)
        ),
    }


def _beyond(one: Beyond) -> Tree:
    return {
        "kind": of_danger(one.dangerous),
        "heard": f"“{one.heard}”",
        "at": clock(one.second),
        "why": one.why,
        "long": is_long(one.heard, one.why),
    }
