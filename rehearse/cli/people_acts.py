"""What the commands of `people` do."""

from __future__ import annotations

import argparse
import json
from dataclasses import replace

from rehearse.cli.acting import acting, day, new_pin
from rehearse.cli.common import PASSED, say
from rehearse.store import NewPerson, Person, Role


def add_(options: argparse.Namespace) -> int:
    """Enter a person."""
    with acting(options) as at:
        person = at.store.people.add(
            at.actor,
            NewPerson(
                options.person,
                options.name,
                _roles(options.roles),
                tuple(options.position or ()),
                tuple(options.aircraft or ()),
            ),
        )
        say(f"added {_line(person)}; 'rehearse people pin {person.staff_number}' sets a PIN")
    return PASSED


def list_(options: argparse.Namespace) -> int:
    """Everyone, by name."""
    with acting(options) as at:
        for person in at.store.people.all(at.actor, left=options.left):
            if options.json:
                print(_json(person))
            else:
                say(_line(person))
    return PASSED


def change_(options: argparse.Namespace) -> int:
    """Correct a person's particulars."""
    with acting(options) as at:
        before = at.person(options.person)
        now = _as_new(before)
        given = {
            "staff_number": options.number,
            "name": options.name,
            "positions": _tuple(options.position),
            "aircraft": _tuple(options.aircraft),
        }
        now = replace(now, **{name: value for name, value in given.items() if value is not None})
        say(f"now {_line(at.store.people.change(at.actor, before.id, now))}")
    return PASSED


def roles_(options: argparse.Namespace) -> int:
    """Give a person these roles and no others."""
    with acting(options) as at:
        before = at.person(options.person)
        now = replace(_as_new(before), roles=_roles(options.roles))
        say(f"now {_line(at.store.people.change(at.actor, before.id, now))}")
    return PASSED


def pin_(options: argparse.Namespace) -> int:
    """Set one's own PIN, or as an administrator another's."""
    with acting(options) as at:
        person = at.person(options.person)
        pin = new_pin(person.staff_number)
        if person.id == at.actor.person:
            at.store.people.change_pin(at.actor, at.pin, pin)
        else:
            at.store.people.set_pin(at.actor, person.id, pin)
        say(f"{person.staff_number}: the PIN is set")
    return PASSED


def leave_(options: argparse.Namespace) -> int:
    """Note the last day of a person."""
    on = day(options.on, "--on")
    with acting(options) as at:
        person = at.store.people.leave(at.actor, at.person(options.person).id, on)
        say(f"{person.staff_number}: leaves on {on}; the records stay")
    return PASSED


def _as_new(person: Person) -> NewPerson:
    return NewPerson(
        person.staff_number, person.name, person.roles, person.positions, person.aircraft
    )


def _roles(names: list[str]) -> frozenset[Role]:
    return frozenset(Role(name) for name in names)


def _tuple(values: list[str] | None) -> tuple[str, ...] | None:
    return None if values is None else tuple(values)


def _line(person: Person) -> str:
    roles = ", ".join(sorted(person.roles))
    parts = [f"{person.staff_number or '(erased)'}  {person.name or person.id}  {roles}"]
    parts += [" ".join(person.positions)] if person.positions else []
    parts += [" ".join(person.aircraft)] if person.aircraft else []
    parts += [f"left on {person.left_on}"] if person.left_on else []
    return "; ".join(parts)


def _json(person: Person) -> str:
    return json.dumps(
        {
            "staff_number": person.staff_number,
            "name": person.name,
            "id": person.id,
            "roles": sorted(person.roles),
            "positions": list(person.positions),
            "aircraft": list(person.aircraft),
            "left_on": person.left_on.isoformat() if person.left_on else None,
            "erased": person.erased,
        },
        ensure_ascii=False,
    )
