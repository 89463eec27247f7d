"""The sound of takes: kept only with consent, and every listening by another is on record."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from sqlalchemy import Connection, select

from rehearse.store import outcome, roster, tables
from rehearse.store.desk import Desk, result_row
from rehearse.store.mishaps import MissingError, NotAcceptedError, NotAllowedError
from rehearse.store.naming import must_not_name
from rehearse.store.permissions import Operation
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Text
from rehearse.store.vault import Vault


@dataclass(frozen=True)
class Sounds:
    """`Store.sounds`: what was heard, as FLAC, beside the result it belongs to."""

    _desk: Desk

    def keep(self, actor: Actor, result_id: str, flac: bytes) -> None:
        """Keep a take's sound.

        Raises:
            NotAllowedError: the person has not consented, or withdrew it.
            NotAcceptedError: it is not the sound the result's take refers to, or kept already.
        """
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            row = result_row(connection, result_id)
            self._desk.check(connection, actor, Operation.KEEP_SOUND, row["person"])
            links = Links.read(connection)
            if not consents(connection, links.ids(row["person"]), Text.SOUND):
                raise NotAllowedError(
                    f"{result_id}: the person has not consented to keeping sound; record consent"
                )
            take = outcome.take_of(row["take"])
            said = take.sound_sha256 if take else ""
            if said and said != hashlib.sha256(flac).hexdigest():
                raise NotAcceptedError(f"{result_id}: this is not the sound of its take")
            if stored(connection, result_id, self._desk.vault) is not None:
                raise NotAcceptedError(f"{result_id}: its sound is kept already")
            writing.add(tables.sound, (Text.SOUND, flac), result=result_id)

    def read(self, actor: Actor, result_id: str, purpose: str) -> bytes:
        """A take's sound; reading another person's is recorded first, with its purpose.

        Raises:
            MissingError: none was kept, or it has been erased.
            NotAcceptedError: another person's sound needs a purpose, which does not name them.
        """
        roster.check_text(purpose, "purpose")
        with self._desk.reading(actor) as connection:
            row = result_row(connection, result_id)
            self._desk.check(connection, actor, Operation.READ_SOUND, row["person"])
            links = Links.read(connection)
            own = row["person"] in links.ids(actor.person)
            sound = stored(connection, result_id, self._desk.vault)
            person = roster.person_of(connection, links, row["person"], self._desk.vault)
        if sound is None:
            raise MissingError(f"{result_id}: no sound is kept of this take")
        if own:
            return sound
        must_not_name(purpose, person, "purpose")
        if not purpose.strip():
            raise NotAcceptedError("listening to another person's sound needs a purpose")
        with self._desk.writing(actor) as writing:
            writing.add(
                tables.access,
                person=row["person"],
                what="sound",
                record=result_id,
                purpose=purpose,
            )
        return sound


def stored(connection: Connection, result_id: str, vault: Vault) -> bytes | None:
    """The sound kept for a result, in clear; None when there is none."""
    sound, content = tables.sound, tables.content
    wanted = (
        select(content)
        .join(sound, sound.c.id == content.c.id)
        .where(sound.c.result == result_id)
        .order_by(sound.c.tick)
        .limit(1)
    )
    row = connection.execute(wanted).mappings().one_or_none()
    return None if row is None else vault.open(row["id"], row["key"], row["body"])


def consents(connection: Connection, person: frozenset[str], kind: Text) -> bool:
    """Whether the person's last word on this kind is a consent."""
    table = tables.consent
    wanted = (
        select(table.c.given)
        .where(table.c.person.in_(person), table.c.kind == kind)
        .order_by(table.c.tick.desc(), table.c.given)
        .limit(1)
    )
    return bool(connection.scalar(wanted))
