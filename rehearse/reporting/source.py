"""Where reports get their values: the store as one actor may read it, programme and procedures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from hashlib import sha256

from rehearse.book.model import Procedure, Step
from rehearse.paper import values as paper
from rehearse.programme.currency import Revisions, revisions_of
from rehearse.programme.model import Programme
from rehearse.store import Actor, Person, Record, Result, Signature, Store
from rehearse.store import Overrule as StoredOverrule


@dataclass(frozen=True)
class Source:
    """What a report is made from, and for whom.

    procedures: as they are now; a step of another revision is called by its id.
    made: when the report is made, aware.
    """

    store: Store
    actor: Actor
    programme: Programme
    procedures: tuple[Procedure, ...]
    made: datetime
    _names: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def people(self) -> Mapping[str, Person]:
        """Everyone whom the actor may know of, by id."""
        return {person.id: person for person in self.store.people.known(self.actor)}

    @cached_property
    def revisions(self) -> Revisions:
        """The revisions that make an older check stale."""
        return revisions_of(self.procedures)

    def heading(self, aircraft: Iterable[str] = (), revision: str = "") -> paper.Heading:
        """What stands on every sheet; the programme's revision when none is given."""
        head = self.store.head()
        return paper.Heading(
            operator=self.programme.operator,
            aircraft=", ".join(aircraft) or "all aircraft",
            revision=revision or programme_revision(self.programme),
            chain_head=head.hash,
            chain_rows=head.number,
            made=self.made,
            zone=self.store.zone.key,
            chain_station=head.station,
        )

    def person(self, person_id: str) -> paper.Person:
        """A person as reports name them; by id alone when erased or not the actor's to know."""
        known = self.people.get(person_id)
        if known is None or known.erased:
            return paper.Person(person_id, "name erased" if known else "name not shown")
        return paper.Person(known.staff_number, known.name, known.positions, known.aircraft)

    def someone(self, person_id: str) -> paper.Person | None:
        """The person, or None when there was none."""
        return self.person(person_id) if person_id else None

    def local_date(self, moment: datetime) -> date:
        """The date in the operator's zone."""
        return moment.astimezone(self.store.zone).date()

    def title(self, procedure: str) -> str:
        """A procedure's title, its id when it is not known."""
        return next((one.title for one in self.procedures if one.id == procedure), procedure)

    def steps(self, result: Result) -> Mapping[str, Step]:
        """The steps of a result's procedure by id; none when another revision is in force."""
        for one in self.procedures:
            if (one.id, one.revision.number) == (result.procedure, result.revision):
                return {step.id: step for step in one.steps}
        return {}

    def say(self, result: Result, step: str) -> str:
        """What a step says; its id when its revision is not at hand."""
        known = self.steps(result).get(step)
        return known.say if known else step

    def overrule(self, record: Record, one: StoredOverrule) -> paper.Overrule:
        """An overrule as reports show it."""
        number = [step.id for step in record.result.steps].index(one.step) + 1
        return paper.Overrule(
            about=f"Step {number}: {self.say(record.result, one.step)}",
            tool=one.was,
            instructor=one.verdict,
            reason=f"{one.reason} (signed correction)" if one.after_seal else one.reason,
            by=self.person(one.by),
            at=one.at,
        )

    def overrules(self, record: Record) -> tuple[paper.Overrule, ...]:
        """The overrules of a record that count, oldest first."""
        return tuple(
            self.overrule(record, one) for one in record.overrules if one.id not in record.uncovered
        )

    def signature(self, record: Record, covers: str) -> tuple[paper.Signature, ...]:
        """The signature on a record, if there is one."""
        signed = record.signature
        return () if signed is None else (self._signature(signed, record.result.id, covers),)

    def _signature(self, signed: Signature, result: str, covers: str) -> paper.Signature:
        prefix = f"{result}: "
        own = [text.removeprefix(prefix) for text in signed.warnings if text.startswith(prefix)]
        known = self.people.get(signed.by)
        roles = sorted(known.roles) if known else []
        return paper.Signature(
            signer=self.person(signed.by),
            role=", ".join(roles) or "not shown",
            signed=signed.at,
            fingerprint=sha256(bytes.fromhex(signed.public_key)).hexdigest(),
            covers=covers,
            warning="; ".join(own),
        )


def programme_revision(programme: Programme) -> str:
    """Which issue of the programme it is: its id and the start of its file's sum."""
    if programme.path is None:
        return programme.id
    digest = sha256(programme.path.read_bytes()).hexdigest()
    return f"{programme.id}, file {digest[:12]}"


def outcome(record: Record) -> paper.Outcome:
    """What a record came to, as it counts now."""
    if record.passed:
        return paper.Outcome.PASSED
    unclear = "unclear" in record.verdicts.values()
    return paper.Outcome.UNCLEAR if unclear else paper.Outcome.NOT_PASSED


def counts(record: Record) -> bool:
    """Whether a record is sealed, so that it counts: signed, or from older records."""
    return record.signature is not None or record.result.kind == "past"
