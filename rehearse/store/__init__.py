"""The record store: who was heard, what was judged, who had the last word, and proof of it.

A `Store` is opened from a database URL (`sqlite:///path` or `postgresql+psycopg://...`) and falls
into parts, one per concern. Every method of a part takes the `Actor` that `sign_in` gave, refuses
with `NotAllowedError` what its role may not do, and is one transaction. Errors are `StoreError`s.

    Store.create(url, station=, zone=, administrator=NewPerson, pin=, key=None, clock=, cost=) -> Store
    Store.open(url, key=None, clock=, cost=) -> Store
    store.sign_in(staff_number, pin, role=None) -> Actor     role: the only one held, or named
    store.verify(heads=()) -> Verification                   needs no actor: it reveals nothing
    store.station, store.zone, store.head() -> Head          this station's chain
    store.close()

    store.people     add(actor, NewPerson) -> Person         change(actor, person_id, NewPerson) -> Person
                     leave(actor, person_id, on) -> Person   all(actor, left=False) -> tuple[Person, ...]
                     get(actor, person_id) -> Person         find(actor, staff_number) -> Person
                     known(actor) -> tuple[Person, ...]      whose names the actor may know
                     set_pin(actor, person_id, pin)          change_pin(actor, old, new)
                     sign_ins(actor) -> tuple[SignInAttempt, ...]
    store.results    record(actor, NewResult) -> Result      record_past(actor, [NewResult]) -> tuple[Result, ...]
                     get(actor, result_id) -> Record         of(actor, person_id) -> Iterator[Record]
                     every(actor, since=None, until=None) -> Iterator[Record]
                     overrule(actor, result_id, step, verdict, reason) -> Overrule
                     remark(actor, result_id, text, second=None) -> Remark
    store.signing    warnings(actor, result_ids) -> tuple[str, ...]
                     sign(actor, result_ids, pin) -> Signature
                     correct(actor, result_id, step, verdict, reason, pin=) -> Overrule
    store.marks      ask(actor, result_id, person_id)        waiting(actor) -> tuple[BlindTake, ...]
                     begin(actor, result_id) -> BlindTake    hand_in(actor, result_id, {step: Verdict}) -> SecondMarks
                     of(actor, result_id) -> tuple[SecondMarks, ...]
                     agreement(actor, result_ids=None) -> Agreement
    store.retraining entries(actor, person_id=None, still_open=False) -> tuple[Retraining, ...]
                     close(actor, entry_id, how) -> Retraining
    store.sounds     keep(actor, result_id, flac)            read(actor, result_id, purpose) -> bytes
    store.privacy    consent(actor, person_id, kind, given) -> Consent    consents(actor, person_id)
                     accesses(actor, person_id=None) -> tuple[Access, ...]
                     export(actor, person_id) -> PersonExport
                     erase(actor, person_id, reason) -> Erased
                     retention(actor, kind, days)            retentions(actor) -> tuple[Retention, ...]
                     tidy(actor) -> Erased
    store.currency   columns(actor, elements, person_id=None) -> programme Columns, what counts
                     due(actor, elements, on, revisions={}) -> list[Standing]
    store.upkeep     backup(actor, path)                     merge(actor, other_url_or_path) -> Merged
                     heads(actor) -> tuple[Head, ...]        incidents(actor) -> tuple[Incident, ...]
    restore(path, url, station=, key=None, clock=) -> Head   a new store from a backup

How rows, chains, signatures and merging work, and their limits: README.md beside this file.
"""  # noqa: E501 - one line a method reads better than two

from __future__ import annotations

from rehearse.store.mishaps import (
    DamagedError,
    MissingError,
    NotAcceptedError,
    NotAllowedError,
    PinError,
    SealedError,
)
from rehearse.store.permissions import Operation, allowed
from rehearse.store.pins import Cost
from rehearse.store.store import Store, restore
from rehearse.store.values import (
    Access,
    Actor,
    Agreement,
    BlindTake,
    Consent,
    Erased,
    Fault,
    Head,
    Incident,
    Kind,
    Merged,
    Method,
    NewPerson,
    NewResult,
    Overrule,
    PassRule,
    Person,
    PersonExport,
    Record,
    Remark,
    Result,
    Retention,
    Retraining,
    Role,
    SecondMarks,
    Signature,
    SignInAttempt,
    StepMark,
    TakeRef,
    Text,
    Verification,
    whole,
)
from rehearse.store.vault import new_key, read_key

__all__ = [
    "Access",
    "Actor",
    "Agreement",
    "BlindTake",
    "Consent",
    "Cost",
    "DamagedError",
    "Erased",
    "Fault",
    "Head",
    "Incident",
    "Kind",
    "Merged",
    "Method",
    "MissingError",
    "NewPerson",
    "NewResult",
    "NotAcceptedError",
    "NotAllowedError",
    "Operation",
    "Overrule",
    "PassRule",
    "Person",
    "PersonExport",
    "PinError",
    "Record",
    "Remark",
    "Result",
    "Retention",
    "Retraining",
    "Role",
    "SealedError",
    "SecondMarks",
    "SignInAttempt",
    "Signature",
    "StepMark",
    "Store",
    "TakeRef",
    "Text",
    "Verification",
    "allowed",
    "new_key",
    "read_key",
    "restore",
    "whole",
]
