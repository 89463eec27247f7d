"""Who acts on which records: the store opened, the PIN asked for, the programme read."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from platformdirs import user_data_path

from rehearse.errors import RehearseError
from rehearse.programme import reader
from rehearse.programme.model import Programme
from rehearse.store import Actor, NotAcceptedError, Person, Role, Store, read_key

RECORDS, KEY, PROGRAMME = "REHEARSE_RECORDS", "REHEARSE_KEY", "REHEARSE_PROGRAMME"
PIN, NEW_PIN = "REHEARSE_PIN", "REHEARSE_NEW_PIN"
EXAMPLE = Path(__file__).resolve().parents[2] / "programmes" / "fellmark-air.yaml"


@dataclass(frozen=True)
class Acting:
    """Somebody signed in at an open store. pin: for what has to be signed as well."""

    store: Store
    actor: Actor
    pin: str

    def person(self, staff_number: str) -> Person:
        """The person with this staff number. Raises MissingError or NotAllowedError."""
        return self.store.people.find(self.actor, staff_number)

    def everyone(self) -> dict[str, Person]:
        """Everyone the actor may know of, by id; those who have left too."""
        return {person.id: person for person in self.store.people.known(self.actor)}

    @property
    def today(self) -> date:
        """Today in the operator's zone."""
        return datetime.now(self.store.zone).date()


def records_url(options: argparse.Namespace) -> str:
    """The store's URL: named by an option, by the environment, or in the user's own folder."""
    named = options.records or os.environ.get(RECORDS, "")
    if not named:
        folder = user_data_path("rehearse", appauthor=False)
        return f"sqlite:///{folder / 'records.db'}"
    return named if "://" in named else f"sqlite:///{Path(named).absolute()}"


def operator_key(options: argparse.Namespace) -> bytes | None:
    """The operator key, when a file with one is named. Raises StoreError."""
    named = options.key or os.environ.get(KEY, "")
    return read_key(Path(named)) if named else None


@contextmanager
def opened(options: argparse.Namespace) -> Iterator[Store]:
    """The store, open. Raises StoreError."""
    with Store.open(records_url(options), key=operator_key(options)) as store:
        yield store


@contextmanager
def acting(options: argparse.Namespace) -> Iterator[Acting]:
    """The store, with whoever `--as` names signed in.

    Raises:
        StoreError: no store, a wrong PIN, or a role the person does not hold.
    """
    with opened(options) as store:
        pin = asked_pin(f"PIN of {options.acting}: ", PIN)
        role = Role(options.role) if options.role else None
        try:
            actor = store.sign_in(options.acting, pin, role)
        except NotAcceptedError as error:
            raise RehearseError(f"{error}; add --role") from error
        yield Acting(store, actor, pin)


def asked_pin(prompt: str, variable: str) -> str:
    """A PIN: from the environment, typed unseen, or the next line of the input.

    Raises:
        RehearseError: there is none.
    """
    pin = os.environ.get(variable, "")
    if not pin:
        pin = getpass.getpass(prompt) if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    if not pin:
        raise RehearseError(
            f"no PIN; type it, give it as a line of the input, or set {variable} for a script"
        )
    return pin


def new_pin(whose: str) -> str:
    """A new PIN, typed twice on a terminal.

    Raises:
        RehearseError: there is none, or the two differ.
    """
    pin = asked_pin(f"new PIN of {whose}: ", NEW_PIN)
    typed = NEW_PIN not in os.environ and sys.stdin.isatty()
    if typed and getpass.getpass("the same again: ") != pin:
        raise RehearseError("the two PINs differ; nothing was changed, start again")
    return pin


def programme(options: argparse.Namespace, store: Store | None = None) -> Programme:
    """The training programme; the shipped example when none is named.

    Raises:
        RehearseError: it has faults, or counts in another time zone than the store.
    """
    found = reader.read(Path(options.programme or os.environ.get(PROGRAMME, "") or EXAMPLE))
    if store is not None and found.zone != store.zone.key:
        raise RehearseError(
            f"{found.path}: zone: the programme counts in {found.zone}, the records in "
            f"{store.zone.key}; write the same zone in both"
        )
    return found


def day(text: str, option: str) -> date:
    """A typed date. Raises RehearseError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise RehearseError(f"{option} {text}: no date; write it as 2026-11-25") from None
