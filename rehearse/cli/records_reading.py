"""What the commands of `records` that read one record do, and how records are told."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

from rehearse.cli.acting import Acting, acting
from rehearse.cli.common import PASSED, say
from rehearse.record.place import write_private
from rehearse.safety import NOTICE
from rehearse.store import Kind, Person, Record

People = dict[str, Person]


def show_(options: argparse.Namespace) -> int:
    """One record with all that was added to it."""
    with acting(options) as at:
        people = at.everyone()
        record = at.store.results.get(at.actor, options.result)
        if options.json:
            print(json.dumps(whole(record, people), ensure_ascii=False))
            return PASSED
        for text in _page(record, people, at):
            say(text)
    return PASSED


def listen_(options: argparse.Namespace) -> int:
    """Write a take's sound to a file."""
    with acting(options) as at:
        flac = at.store.sounds.read(at.actor, options.result, options.purpose)
        write_private(Path(options.to), flac)
        say(f"written to {options.to}; delete it when you have listened")
    return PASSED


def named(people: People, person_id: str) -> str:
    """Staff number and name; the id when they are not known."""
    person = people.get(person_id)
    if person is None or not person.staff_number:
        return person_id or "nobody"
    return f"{person.staff_number} {person.name}"


def outcome(record: Record) -> str:
    """What a record came to, as it counts now."""
    if record.passed:
        return "passed"
    return "unclear" if "unclear" in record.verdicts.values() else "not passed"


def standing(record: Record) -> str:
    """Whether a record is sealed."""
    if record.result.kind is Kind.CHECK:
        return "signed" if record.signature else "not signed"
    return str(record.result.kind)


def line(record: Record, people: People) -> str:
    """A record on one line."""
    result = record.result
    what = f"{result.element or '-'} {result.procedure or '-'} revision {result.revision}"
    who = named(people, result.person)
    return f"{result.id}  {result.taken_on}  {who}  {what}  {outcome(record)}, {standing(record)}"


def summary(record: Record, people: People) -> dict[str, object]:
    """A record as a JSON-ready object, without its evidence."""
    result = record.result
    person = people.get(result.person)
    return {
        "record": result.id,
        "person": person.staff_number if person else result.person,
        "kind": str(result.kind),
        "element": result.element,
        "procedure": result.procedure,
        "revision": result.revision,
        "procedure_sha256": result.procedure_sha256,
        "method": str(result.method),
        "taken_at": result.taken_at.isoformat(),
        "taken_on": result.taken_on.isoformat(),
        "examiner": number_of(people, result.examiner),
        "teacher": number_of(people, result.teacher),
        "outcome": outcome(record),
        "signed": record.signature is not None,
        "verdicts": {step: str(verdict) for step, verdict in record.verdicts.items()},
    }


def number_of(people: People, person_id: str) -> str:
    """The staff number; the id when it is not known."""
    person = people.get(person_id)
    return person.staff_number if person else person_id


def whole(record: Record, people: People) -> dict[str, object]:
    """A record as a JSON-ready object with its evidence."""
    result, take = record.result, record.result.take
    return {
        **summary(record, people),
        "steps": [
            {
                "id": step.id,
                "critical": step.critical,
                "tool": str(step.verdict),
                "verdict": str(record.verdicts[step.id]),
                "heard": step.heard,
                "start": step.start,
                "end": step.end,
                "why": step.why,
            }
            for step in result.steps
        ],
        "extras": list(result.extras),
        "overrules": [
            {
                "step": one.step,
                "was": str(one.was),
                "verdict": str(one.verdict),
                "reason": one.reason,
                "by": number_of(people, one.by),
                "at": one.at.isoformat(),
                "correction": one.after_seal,
                "counts": one.id not in record.uncovered,
            }
            for one in record.overrules
        ],
        "remarks": [{"text": one.text, "second": one.second} for one in record.remarks],
        "take": None
        if take is None
        else {
            "folder": take.folder,
            "log_sha256": take.log_sha256,
            "sound_sha256": take.sound_sha256,
            "drawn": take.drawn,
        },
        "sound_kept": record.sound_kept,
        "warnings": list(record.signature.warnings) if record.signature else [],
        "head": str(record.signature.head) if record.signature else None,
        "notice": NOTICE,
    }


def _page(record: Record, people: People, at: Acting) -> Iterator[str]:
    result = record.result
    yield line(record, people)
    local = result.taken_at.astimezone(at.store.zone)
    yield f"  {result.method}, taken {local:%Y-%m-%d %H:%M} {at.store.zone.key}"
    examiner, teacher = named(people, result.examiner), named(people, result.teacher)
    yield f"  examined by {examiner}, taught by {teacher}"
    if result.procedure_sha256:
        yield f"  what was asked: {result.procedure_sha256}"
    if result.take is not None:
        yield f"  take {result.take.folder}, log {result.take.log_sha256}"
        yield f"  {result.take.drawn or 'procedure chosen, not drawn'}; sound " + (
            "kept" if record.sound_kept else "not kept"
        )
    for step in result.steps:
        counts = record.verdicts[step.id]
        tool = "" if counts is step.verdict else f" (first: {step.verdict})"
        at_time = "" if step.start is None else f" at {step.start:.1f} s"
        heard = f" “{step.heard}”{at_time}" if step.heard else ""
        critical = " [critical]" if step.critical else ""
        yield f"  {step.id}{critical}: {counts}{tool}{heard} {step.why}"
    yield from _added(record, people)
    yield NOTICE


def _added(record: Record, people: People) -> Iterator[str]:
    for extra in record.result.extras:
        yield f"  beyond the steps: {extra}"
    for one in record.overrules:
        kind = "corrected" if one.after_seal else "overruled"
        void = "; does not count, made without knowing of the seal"
        yield (
            f"  {kind} by {named(people, one.by)}: {one.step} from {one.was} to {one.verdict}: "
            f"{one.reason}{void if one.id in record.uncovered else ''}"
        )
    for remark in record.remarks:
        at = "" if remark.second is None else f" at {remark.second:.1f} s"
        yield f"  remark by {named(people, remark.by)}{at}: {remark.text or '(erased)'}"
    if record.signature is not None:
        signed = record.signature
        yield f"  signed by {named(people, signed.by)} {signed.at:%Y-%m-%d %H:%M} UTC"
        yield f"  chain head then {signed.head}"
        for warning in signed.warnings:
            yield f"  signed in spite of: {warning}"
