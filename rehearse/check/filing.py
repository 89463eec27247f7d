"""A checked take put into the record store: its verdicts, evidence, remarks and sound."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from rehearse import __version__
from rehearse.book.model import Procedure
from rehearse.check.values import CheckedTake
from rehearse.errors import StoreError
from rehearse.judge.verdict import Result as Judgement
from rehearse.record.place import cannot_write
from rehearse.record.take import Take
from rehearse.store import (
    Actor,
    Kind,
    Method,
    NewResult,
    NotAcceptedError,
    PassRule,
    Result,
    StepMark,
    Store,
    TakeRef,
    Text,
)

JUDGE = f"rehearse {__version__}"


@dataclass(frozen=True)
class Sitting:
    """Who is checked on which element by whom; ids of persons, `teacher` "" when nobody taught."""

    candidate: str
    element: str
    teacher: str = ""


def consent(store: Store, actor: Actor, candidate: str, *, given: bool) -> None:
    """Record what the candidate said about keeping the sound, before anything is heard.

    Raises:
        StoreError: the actor may not record it.
    """
    store.privacy.consent(actor, candidate, Text.SOUND, given=given)


def file_check(
    store: Store, actor: Actor, sitting: Sitting, checked: CheckedTake, *, kept: bool = False
) -> Result:
    """Record a take as a check by the actor. Sound moves from the take's folder into the store.

    kept: the take was kept before, so that it may be in the store already. To find out is to read
        the candidate's results, which ends being blind to them.

    Raises:
        NotAcceptedError: the take is of another person, or was recorded already.
        StoreError: it cannot be recorded; the take stays as it is, to be filed later.
    """
    said = checked.stated("identity")
    if said != sitting.candidate:
        raise NotAcceptedError(f"{checked.take.folder}: this take is of another person ({said})")
    take = reference(checked)
    if kept:
        _must_be_new(store, actor, sitting.candidate, checked.take.folder, take)
    made = store.results.record(
        actor,
        new_result(
            checked.take,
            checked.result,
            take,
            person=sitting.candidate,
            kind=Kind.CHECK,
            element=sitting.element,
            examiner=actor.person,
            teacher=sitting.teacher,
        ),
    )
    for remark in checked.remarks:
        store.results.remark(actor, made.id, remark.text, remark.second)
    move_sound(store, actor, made.id, checked.take)
    return made


def new_result(
    take: Take,
    judged: Judgement,
    reference: TakeRef,
    *,
    person: str,
    kind: Kind,
    element: str = "",
    examiner: str = "",
    teacher: str = "",
) -> NewResult:
    """A judged take as a result to be recorded."""
    rule = take.procedure.pass_rule
    return NewResult(
        person=person,
        kind=kind,
        element=element,
        procedure=judged.procedure,
        revision=judged.revision,
        method=Method.ORAL,
        taken_at=take.header.started,
        steps=steps_of(take.procedure, judged),
        rule=PassRule(rule.critical, rule.share, rule.within),
        examiner=examiner,
        teacher=teacher,
        extras=tuple(_extra(extra.heard, extra.dangerous) for extra in judged.extras),
        take=reference,
        judge=JUDGE,
        procedure_sha256=take.header.procedure_sha256,
    )


def steps_of(procedure: Procedure, judged: Judgement) -> tuple[StepMark, ...]:
    """Every step's verdict with its evidence."""
    return tuple(
        StepMark(
            id=step.id,
            verdict=step.verdict,
            critical=procedure.step(step.id).critical,
            probability=round(float(step.probability), 4),
            heard=step.heard,
            start=None if step.start is None else float(step.start),
            end=None if step.end is None else float(step.end),
            why=step.why,
            missing=step.missing,
            corrected=step.corrected,
        )
        for step in judged.steps
    )


DANGEROUS = "forbidden: "  # before an extra that the procedure forbids


def _extra(heard: str, dangerous: bool) -> str:
    return f"{DANGEROUS}{heard}" if dangerous else heard


def reference(checked: CheckedTake) -> TakeRef:
    """The take's folder with the sums over its log and its sound, and how it was drawn."""
    return take_reference(checked.take, checked.stated("order"))


def take_reference(take: Take, drawn: str = "") -> TakeRef:
    """The take's folder with the sums over its log and its sound.

    Raises:
        StoreError: the take cannot be read any more.
    """
    sound = take.sound_path
    return TakeRef(
        folder=take.folder.name,
        log_sha256=_sum(take.log_path),
        sound_sha256="" if sound is None else _sum(sound),
        drawn=drawn,
    )


def move_sound(store: Store, actor: Actor, result: str, take: Take) -> None:
    """Keep the take's sound in the store, where reading it is on record, and nowhere else.

    Raises:
        StoreError: the store does not keep it, for want of consent or of space.
    """
    path = take.sound_path
    if path is None:
        return
    store.sounds.keep(actor, result, path.read_bytes())
    try:
        path.unlink()
    except OSError as error:
        raise cannot_write(path, error) from error


def _must_be_new(store: Store, actor: Actor, candidate: str, folder: Path, take: TakeRef) -> None:
    for record in list(store.results.of(actor, candidate)):
        there = record.result.take
        if there is not None and there.log_sha256 == take.log_sha256:
            raise NotAcceptedError(f"{folder}: recorded already, as {record.result.id}")


def _sum(path: Path) -> str:
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise StoreError(f"{path}: cannot be read ({error.strerror}); restore it") from error
