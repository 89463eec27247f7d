"""What every part of the store works on: transactions with the actor and the role checked."""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from rehearse.store import roster, tables
from rehearse.store.chain import Row, Writing
from rehearse.store.database import Database
from rehearse.store.mishaps import MissingError, NotAllowedError
from rehearse.store.permissions import Operation, allowed
from rehearse.store.pins import Cost
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Role
from rehearse.store.vault import Vault

Clock = Callable[[], datetime]


@dataclass(frozen=True)
class Desk:
    """A store that is open: its database, its station, its key and its clock."""

    database: Database
    station: str
    zone: ZoneInfo
    vault: Vault
    clock: Clock
    cost: Cost
    _secret: bytes = field(default_factory=lambda: os.urandom(32), repr=False)

    def actor(self, person: str, role: Role) -> Actor:
        """An actor this store will accept; to be called only after a PIN was checked."""
        return Actor(person, role, self._proof(person, role))

    def _proof(self, person: str, role: Role) -> str:
        return hmac.new(self._secret, f"{person} {role}".encode(), hashlib.sha256).hexdigest()

    @contextlib.contextmanager
    def writing(self, actor: Actor | None) -> Iterator[Writing]:
        """One transaction of this actor that adds rows; None for what the store does itself."""
        with self.database.write() as connection:
            who = "" if actor is None else actor.person
            writing = Writing(connection, self.station, self.clock(), who, self.vault)
            if actor is not None:
                self._authenticate(connection, actor)
            yield writing
            writing.finish()

    @contextlib.contextmanager
    def reading(self, actor: Actor) -> Iterator[Connection]:
        """One consistent view for this actor."""
        with self.database.read() as connection:
            self._authenticate(connection, actor)
            yield connection

    def _authenticate(self, connection: Connection, actor: Actor) -> None:
        if not hmac.compare_digest(actor.proof, self._proof(actor.person, actor.role)):
            raise NotAllowedError("nobody is signed in here; sign in with your PIN first")
        person = roster.person_of(connection, Links.read(connection), actor.person, self.vault)
        left = person.left_on is not None and person.left_on < self.today()
        if actor.role not in person.roles or person.erased or left:
            raise NotAllowedError(f"{actor.person} is {actor.role} no longer; sign in again")

    def check(
        self,
        connection: Connection,
        actor: Actor,
        operation: Operation,
        about: str | None = None,
    ) -> None:
        """Refuse what the actor's role may not do, in general or to the person it is about.

        Raises:
            NotAllowedError: the line says who may.
        """
        own = about is not None and about in Links.read(connection).ids(actor.person)
        if not allowed(actor.role, operation, own=own):
            whose = " of your own" if own else ""
            raise NotAllowedError(f"as {actor.role} you may not {operation}{whose}")

    def local_date(self, time: datetime) -> date:
        """The date of this time in the operator's zone."""
        return time.astimezone(self.zone).date()

    def today(self) -> date:
        """Today in the operator's zone."""
        return self.local_date(self.clock())


def result_row(connection: Connection, result_id: str) -> Row:
    """The stored row of a result.

    Raises:
        MissingError: there is none with this id.
    """
    wanted = select(tables.result).where(tables.result.c.id == result_id)
    row = connection.execute(wanted).mappings().one_or_none()
    if row is None:
        raise MissingError(f"{result_id}: there is no such result in this store")
    return dict(row)
