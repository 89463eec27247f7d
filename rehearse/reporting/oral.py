"""One oral check as a report: the tool's verdicts, the instructor's, and the evidence."""

from __future__ import annotations

from rehearse.check.filing import DANGEROUS
from rehearse.paper import values as paper
from rehearse.paper.wording import clock
from rehearse.reporting.source import Source, outcome
from rehearse.store import NotAllowedError, Record, Remark, StepMark


def check_record(source: Source, result_id: str) -> paper.CheckRecord:
    """The record of one check as it stands.

    Raises:
        StoreError: there is none, or the actor may not read it.
    """
    record = source.store.results.get(source.actor, result_id)
    result = record.result
    title = source.title(result.procedure)
    aircraft = next((one.aircraft for one in source.procedures if one.id == result.procedure), "")
    return paper.CheckRecord(
        heading=source.heading([aircraft] if aircraft else (), f"Revision {result.revision}"),
        procedure=result.procedure or result.element,
        title=title or result.element,
        candidate=source.person(result.person),
        examiner=source.someone(result.examiner) or paper.Person("", "nobody"),
        started=result.taken_at,
        outcome=outcome(record),
        steps=tuple(_step(source, record, at) for at in range(len(result.steps))),
        take=result.take.folder if result.take else "no take",
        log_digest=result.take.log_sha256 if result.take else "",
        sound_digest=result.take.sound_sha256 if result.take else "",
        taught_by=source.someone(result.teacher),
        facts=tuple(_facts(source, record)),
        reasons=_reasons(source, record),
        beyond=tuple(_beyond(extra) for extra in result.extras),
        remarks=tuple(_remark(remark) for remark in record.remarks if remark.text),
        signatures=source.signature(record, f"{title}, check of {result.taken_on}"),
    )


def _step(source: Source, record: Record, at: int) -> paper.CheckedStep:
    step: StepMark = record.result.steps[at]
    return paper.CheckedStep(
        number=at + 1,
        say=source.say(record.result, step.id),
        verdict=step.verdict,
        critical=step.critical,
        heard=step.heard,
        start=step.start,
        end=step.end,
        why=step.why,
        overrules=tuple(
            source.overrule(record, one)
            for one in record.overrules
            if one.step == step.id and one.id not in record.uncovered
        ),
    )


def _facts(source: Source, record: Record) -> list[tuple[str, str]]:
    result = record.result
    facts = [
        ("Record", result.id),
        ("Element", result.element),
        ("Method", str(result.method)),
        ("Procedure drawn", result.take.drawn if result.take else ""),
        ("Sound", "kept with consent" if record.sound_kept else "not kept"),
        ("Judged by", result.judge or "the examiner"),
        ("Second marks", _second_marks(source, record)),
    ]
    late = [one for one in record.overrules if one.id in record.uncovered]
    if late:
        facts.append(("Not counting", f"{len(late)} overrules made without knowing of the seal"))
    return facts


def _second_marks(source: Source, record: Record) -> str:
    try:
        marks = source.store.marks.of(source.actor, record.result.id)
    except NotAllowedError:
        return ""
    first = {step.id: step.verdict for step in record.result.steps}
    return "; ".join(
        f"{sum(first[step] is verdict for step, verdict in one.verdicts.items())} of "
        f"{len(first)} the same, by {source.person(one.by).name}"
        for one in marks
    )


def _reasons(source: Source, record: Record) -> tuple[str, ...]:
    result, rule = record.result, record.result.rule
    critical = {step.id for step in result.steps if step.critical}
    missed = [step for step, verdict in record.verdicts.items() if verdict != "said"]
    found = [
        f"Critical step “{source.say(result, step)}” counts as "
        f"{record.verdicts[step].replace('_', ' ')}."
        for step in missed
        if step in critical and rule.critical == "all"
    ]
    said = len(result.steps) - len(missed)
    found.append(f"{said} of {len(result.steps)} steps said, {rule.share:.0%} are asked for.")
    if rule.within is not None:
        found.append(f"No more than {rule.within:g} seconds are allowed.")
    return tuple(found)


def _remark(remark: Remark) -> str:
    return remark.text if remark.second is None else f"At {clock(remark.second)}: {remark.text}"


def _beyond(extra: str) -> paper.Beyond:
    dangerous = extra.startswith(DANGEROUS)
    return paper.Beyond(extra.removeprefix(DANGEROUS), dangerous)
