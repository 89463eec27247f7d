"""Who may do what. One table, asked by every public operation of the store."""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType

from rehearse.store.values import Role

_T, _I, _E, _A = Role.TRAINEE, Role.INSTRUCTOR, Role.EXAMINER, Role.ADMINISTRATOR


class Operation(StrEnum):
    """Everything the store can be asked for, in the words of its refusals."""

    READ_PEOPLE = "read the list of people"
    CHANGE_PEOPLE = "add or change people"
    RESET_PIN = "set another person's PIN"
    READ_SIGN_INS = "read the sign-in attempts"
    RECORD_PRACTICE = "record practice"
    RECORD_CHECK = "record a check"
    RECORD_PAST = "record past results"
    READ_RESULTS = "read results"
    REMARK = "add a remark"
    OVERRULE = "overrule a verdict"
    SIGN = "sign a record"
    SECOND_MARK = "mark a take a second time"
    ASK_SECOND_MARK = "ask for a second marking"
    READ_AGREEMENT = "read the agreement between markers"
    READ_RETRAINING = "read retraining entries"
    CLOSE_RETRAINING = "close a retraining entry"
    READ_CURRENCY = "read what counts towards currency"
    KEEP_SOUND = "keep the sound of a take"
    READ_SOUND = "listen to a person's sound"
    CONSENT = "record consent"
    READ_ACCESS = "read who read what"
    EXPORT_PERSON = "export a person's data"
    ERASE = "erase a person's data"
    RETENTION = "set how long things are kept"
    SETTINGS = "change the store's settings"
    MAINTAIN = "back up, merge or tidy the store"
    READ_HEADS = "read the chain's heads"


EVERYONE = MappingProxyType(
    {
        Operation.READ_PEOPLE: frozenset({_I, _E, _A}),
        Operation.CHANGE_PEOPLE: frozenset({_A}),
        Operation.RESET_PIN: frozenset({_A}),
        Operation.READ_SIGN_INS: frozenset({_A}),
        Operation.RECORD_PRACTICE: frozenset({_I, _E}),
        Operation.RECORD_CHECK: frozenset({_I, _E}),
        Operation.RECORD_PAST: frozenset({_A}),
        Operation.READ_RESULTS: frozenset({_I, _E, _A}),
        Operation.REMARK: frozenset({_I, _E}),
        Operation.OVERRULE: frozenset({_I, _E}),
        Operation.SIGN: frozenset({_I, _E}),
        Operation.SECOND_MARK: frozenset({_I, _E}),
        Operation.ASK_SECOND_MARK: frozenset({_I, _E, _A}),
        Operation.READ_AGREEMENT: frozenset({_I, _E, _A}),
        Operation.READ_RETRAINING: frozenset({_I, _E, _A}),
        Operation.CLOSE_RETRAINING: frozenset({_I, _E}),
        Operation.READ_CURRENCY: frozenset({_I, _E, _A}),
        Operation.KEEP_SOUND: frozenset({_I, _E}),
        Operation.READ_SOUND: frozenset({_I, _E}),
        Operation.CONSENT: frozenset({_I, _E}),
        Operation.READ_ACCESS: frozenset({_A}),
        Operation.EXPORT_PERSON: frozenset({_A}),
        Operation.ERASE: frozenset({_A}),
        Operation.RETENTION: frozenset({_A}),
        Operation.SETTINGS: frozenset({_A}),
        Operation.MAINTAIN: frozenset({_A}),
        Operation.READ_HEADS: frozenset({_I, _E, _A}),
    }
)
"""The roles that may do it to any person's records."""

OWN = MappingProxyType(
    {
        Operation.READ_PEOPLE: frozenset(Role),
        Operation.RECORD_PRACTICE: frozenset({_T, _I, _E}),
        Operation.READ_RESULTS: frozenset(Role),
        Operation.REMARK: frozenset[Role](),
        Operation.OVERRULE: frozenset[Role](),
        Operation.RECORD_CHECK: frozenset[Role](),
        Operation.SIGN: frozenset[Role](),
        Operation.SECOND_MARK: frozenset[Role](),
        Operation.ASK_SECOND_MARK: frozenset[Role](),
        Operation.CLOSE_RETRAINING: frozenset[Role](),
        Operation.READ_RETRAINING: frozenset(Role),
        Operation.READ_CURRENCY: frozenset(Role),
        Operation.KEEP_SOUND: frozenset(Role),
        Operation.READ_SOUND: frozenset(Role),
        Operation.CONSENT: frozenset(Role),
        Operation.READ_ACCESS: frozenset(Role),
        Operation.EXPORT_PERSON: frozenset(Role),
        Operation.RECORD_PAST: frozenset[Role](),
    }
)
"""The roles that may do it to their own records; where nothing stands here, `EVERYONE` holds."""


def allowed(role: Role, operation: Operation, *, own: bool) -> bool:
    """Whether a person in this role may do it; `own`: to a record about themselves."""
    table = OWN if own and operation in OWN else EVERYONE
    return role in table[operation]
