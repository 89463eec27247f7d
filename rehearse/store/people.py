"""People, their PINs and their sign-ins."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import Connection, select

from rehearse.store import pins, roster, tables
from rehearse.store.about import dealt_with
from rehearse.store.chain import Row, Writing, recorded
from rehearse.store.desk import Desk
from rehearse.store.erasing import erase_rows
from rehearse.store.mishaps import MissingError, NotAcceptedError, NotAllowedError, PinError
from rehearse.store.permissions import Operation, allowed
from rehearse.store.pins import Credential
from rehearse.store.roster import Links
from rehearse.store.values import Actor, NewPerson, Person, Role, SignInAttempt, Text


@dataclass(frozen=True)
class People:
    """`Store.people`: the operator's staff as far as training concerns them."""

    _desk: Desk

    def add(self, actor: Actor, person: NewPerson) -> Person:
        """Enter a person.

        Raises:
            NotAcceptedError: somebody who has not left has this staff number.
        """
        with self._desk.writing(actor) as writing:
            self._desk.check(writing.connection, actor, Operation.CHANGE_PEOPLE)
            return add(self._desk, writing, person)

    def change(self, actor: Actor, person_id: str, person: NewPerson) -> Person:
        """Put these particulars in place of the old; the old row stays."""
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            self._desk.check(connection, actor, Operation.CHANGE_PEOPLE)
            links = Links.read(connection)
            before = roster.person_of(connection, links, person_id, self._desk.vault)
            if before.erased:
                raise NotAllowedError(f"{person_id}: the identity was erased; enter a new person")
            _free(self._desk, connection, person.staff_number, before.id)
            return _write(self._desk, writing, person, before.id, before.left_on)

    def leave(self, actor: Actor, person_id: str, on: date) -> Person:
        """Note the last day with the operator; what was recorded stays."""
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            self._desk.check(connection, actor, Operation.CHANGE_PEOPLE)
            links = Links.read(connection)
            before = roster.person_of(connection, links, person_id, self._desk.vault)
            if before.erased:
                raise NotAllowedError(f"{person_id}: the identity was erased already")
            same = NewPerson(
                before.staff_number, before.name, before.roles, before.positions, before.aircraft
            )
            return _write(self._desk, writing, same, before.id, on)

    def get(self, actor: Actor, person_id: str) -> Person:
        """One person."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_PEOPLE, person_id)
            links = Links.read(connection)
            return roster.person_of(connection, links, person_id, self._desk.vault)

    def find(self, actor: Actor, staff_number: str) -> Person:
        """The person with this staff number, rather one who has not left.

        Raises:
            MissingError: nobody has it.
        """
        with self._desk.reading(actor) as connection:
            person = _with_number(self._desk, connection, staff_number)
            self._desk.check(
                connection, actor, Operation.READ_PEOPLE, person.id if person else None
            )
            if person is None:
                raise MissingError(f"{staff_number}: nobody has this staff number; add the person")
            return person

    def all(self, actor: Actor, *, left: bool = False) -> tuple[Person, ...]:
        """Everyone by name; with `left`, those too who have left or were erased."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_PEOPLE)
            people = roster.everyone(connection, Links.read(connection), self._desk.vault)
            return tuple(person for person in people if left or _works(self._desk, person))

    def known(self, actor: Actor) -> tuple[Person, ...]:
        """Everyone whose name the actor may know, by name; those who have left too.

        That is everybody for those who may read the list of people. Others know themselves, and
        by number, name and role whoever dealt with their records.
        """
        with self._desk.reading(actor) as connection:
            links = Links.read(connection)
            people = roster.everyone(connection, links, self._desk.vault)
            if allowed(actor.role, Operation.READ_PEOPLE, own=False):
                return tuple(people)
            own = links.ids(actor.person)
            met = {links.one(person) for person in dealt_with(connection, own)}
            return tuple(
                person if person.id in own else replace(person, positions=(), aircraft=())
                for person in people
                if person.id in own | met
            )

    def set_pin(self, actor: Actor, person_id: str, pin: str) -> None:
        """Give another person a PIN; it brings a new signing key, and lifts any wait."""
        made = pins.new_credential(pin, self._desk.cost)
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            self._desk.check(connection, actor, Operation.RESET_PIN)
            roster.person_of(connection, Links.read(connection), person_id, self._desk.vault)
            put_credential(writing, person_id, *made)

    def change_pin(self, actor: Actor, old: str, new: str) -> None:
        """Change one's own PIN; the signing key stays the same.

        Raises:
            PinError: the old PIN is wrong.
        """
        row, credential = try_pin(self._desk, actor.person, old)
        private = pins.private_key(credential, old)
        made = pins.new_credential(new, self._desk.cost, private)
        with self._desk.writing(actor) as writing:
            writing.add(tables.sign_in, person=row["person"], opened=1)
            put_credential(writing, row["person"], *made)

    def sign_ins(self, actor: Actor) -> tuple[SignInAttempt, ...]:
        """Every PIN that was tried, oldest first; a right one has a second row, opened."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_SIGN_INS)
            rows = select(tables.sign_in).order_by(tables.sign_in.c.tick)
            return tuple(
                SignInAttempt(
                    row["id"], recorded(dict(row)), row["person"] or "", bool(row["opened"])
                )
                for row in connection.execute(rows).mappings()
            )


def sign_in(desk: Desk, staff_number: str, pin: str, role: Role | None) -> Actor:
    """See `Store.sign_in`."""
    with desk.database.read() as connection:
        person = _with_number(desk, connection, staff_number)
    if person is None or not _works(desk, person):
        with desk.writing(None) as writing:
            writing.add(tables.sign_in, person=None, opened=0)
        pins.waste_a_check(pin, desk.cost)
        raise PinError("staff number or PIN is wrong")
    row, _credential = try_pin(desk, person.id, pin)
    if role is None and len(person.roles) > 1:
        raise NotAcceptedError(f"say as what you sign in: {', '.join(sorted(person.roles))}")
    chosen = role or next(iter(person.roles))
    with desk.writing(None) as writing:
        writing.add(tables.sign_in, person=row["person"], opened=1)
    if chosen not in person.roles:
        raise NotAllowedError(
            f"you are no {chosen} here; you are {', '.join(sorted(person.roles))}"
        )
    return desk.actor(person.id, chosen)


def try_pin(desk: Desk, person: str, pin: str) -> tuple[Row, Credential]:
    """The person's newest credential row and content, when this is its PIN.

    The try is on record before the PIN is looked at, so that a killed program or many programs
    at once win no free guesses.

    Raises:
        PinError: wrong, never set, or too soon after wrong ones.
    """
    with desk.writing(None) as writing:
        found = _credential(desk, writing.connection, person)
        _must_wait(writing, person, found[0]["tick"] if found else 0)
        writing.add(tables.sign_in, person=person, opened=0)
    if found is None or not pins.matches(found[1], pin):
        if found is None:
            pins.waste_a_check(pin, desk.cost)
        raise PinError("staff number or PIN is wrong")
    return found


def _must_wait(writing: Writing, person: str, since: int) -> None:
    ids = Links.read(writing.connection).ids(person)
    tries = (
        select(tables.sign_in)
        .where(tables.sign_in.c.person.in_(ids), tables.sign_in.c.tick > since)
        .order_by(tables.sign_in.c.tick.desc())
    )
    wrong, last = 0, None
    for row in writing.connection.execute(tries).mappings():
        if row["opened"]:
            break
        wrong, last = wrong + 1, last or recorded(dict(row))
    if last is None:
        return
    # A clock that was set back does not count as time passed, nor as a reason to wait longer.
    passed = max((writing.now - last).total_seconds(), 0.0)
    wait = pins.wait_after(wrong) - passed
    if wait > 0:
        raise PinError(
            f"{wrong} wrong PINs in a row; wait {wait:.0f} s or ask an administrator for a new PIN",
            wait,
        )


def _credential(desk: Desk, connection: Connection, person: str) -> tuple[Row, Credential] | None:
    table, content = tables.credential, tables.content
    ids = Links.read(connection).ids(person)
    wanted = (
        select(table, content.c.key, content.c.body)
        .join(content, content.c.id == table.c.id)
        .where(table.c.person.in_(ids))
        .order_by(table.c.tick.desc(), table.c.station)
        .limit(1)
    )
    row = connection.execute(wanted).mappings().one_or_none()
    if row is None:
        return None
    return dict(row), Credential.from_bytes(desk.vault.open(row["id"], row["key"], row["body"]))


def put_credential(writing: Writing, person: str, made: Credential, public: bytes) -> None:
    """Add a credential, and erase those it replaces."""
    ids = Links.read(writing.connection).ids(person)
    old = select(tables.credential.c.id).where(tables.credential.c.person.in_(ids))
    gone = [(row, Text.CREDENTIAL, person) for row in writing.connection.scalars(old)]
    writing.add(
        tables.credential, (Text.CREDENTIAL, made.to_bytes()), person=person, public_key=public
    )
    erase_rows(writing, gone, "replaced by a new PIN")


def add(desk: Desk, writing: Writing, person: NewPerson) -> Person:
    """Add a new person's row.

    Raises:
        NotAcceptedError: somebody who has not left has this staff number.
    """
    _free(desk, writing.connection, person.staff_number, "")
    return _write(desk, writing, person, None, None)


def _write(
    desk: Desk, writing: Writing, person: NewPerson, person_id: str | None, left_on: date | None
) -> Person:
    row = writing.add(
        tables.person,
        (Text.IDENTITY, roster.identity(person)),
        person=person_id or f"{writing.station}-{writing.head.number + 1}",
        **roster.columns(person, left_on),
    )
    links = Links.read(writing.connection)
    return roster.person_of(writing.connection, links, row["person"], desk.vault)


def _works(desk: Desk, person: Person) -> bool:
    return not person.erased and (person.left_on is None or person.left_on >= desk.today())


def _with_number(desk: Desk, connection: Connection, staff_number: str) -> Person | None:
    people = roster.everyone(connection, Links.read(connection), desk.vault)
    found = [person for person in people if person.staff_number == staff_number]
    return max(found, key=lambda person: _works(desk, person), default=None)


def _free(desk: Desk, connection: Connection, staff_number: str, but: str) -> None:
    other = _with_number(desk, connection, staff_number)
    if other is not None and other.id != but and _works(desk, other):
        raise NotAcceptedError(f"{staff_number}: {other.name} has this staff number already")
