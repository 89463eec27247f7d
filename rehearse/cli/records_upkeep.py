"""What the commands of `records` that keep the store do."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.cli.acting import acting, new_pin, opened, operator_key, records_url
from rehearse.cli.common import NOT_PASSED, PASSED, say
from rehearse.cli.records_reading import named
from rehearse.errors import RehearseError
from rehearse.record.place import write_private
from rehearse.screen import waiting
from rehearse.store import Head, NewPerson, Role, Store, new_key, restore


def create_(options: argparse.Namespace) -> int:
    """Make a new store."""
    administrator = NewPerson(options.administrator, options.name, frozenset({Role.ADMINISTRATOR}))
    store = Store.create(
        records_url(options),
        station=options.station,
        zone=options.zone,
        administrator=administrator,
        pin=new_pin(options.administrator),
        key=operator_key(options),
    )
    with store:
        say(f"made for station {store.station}; chain head {store.head()}")
    return PASSED


def new_key_(options: argparse.Namespace) -> int:
    """Make an operator key."""
    new_key(Path(options.file))
    say(f"written to {options.file}; keep a copy elsewhere, without it nothing can be read again")
    return PASSED


def verify_(options: argparse.Namespace) -> int:
    """Whether every row is as it was written."""
    known = [head_of(text) for text in (*options.known, *_in_file(options.heads))]
    with opened(options) as store, waiting("verifying") as told:
        found = store.verify(known, lambda rows: told(f"verifying: {rows} rows"))
    if found.fault is not None:
        say(f"not sound: {found.fault}")
        return NOT_PASSED
    say(f"sound: {found.rows} rows, {found.contents} contents, {found.signatures} signatures")
    for head in found.heads:
        say(f"head {head}")
    return PASSED


def head_(options: argparse.Namespace) -> int:
    """The end of every chain."""
    with acting(options) as at:
        heads = [str(head) for head in at.store.upkeep.heads(at.actor)]
    if options.to:
        write_private(Path(options.to), "".join(f"{head}\n" for head in heads).encode())
        say(f"written to {options.to}")
    else:
        for head in heads:
            say(head)
    return PASSED


def backup_(options: argparse.Namespace) -> int:
    """Copy everything to a new file."""
    with acting(options) as at:
        heads = at.store.upkeep.backup(at.actor, Path(options.file), as_text=options.text)
    say(f"written to {options.file} and verified")
    for head in heads:
        say(f"head {head}")
    return PASSED


def restore_(options: argparse.Namespace) -> int:
    """Make a new store from a backup."""
    known = [head_of(text) for text in options.known]
    heads = restore(
        _existing(options.file), records_url(options), station=options.station, known=known
    )
    say(f"restored from {options.file}")
    for head in heads:
        say(f"head {head}")
    return PASSED


def merge_(options: argparse.Namespace) -> int:
    """Take over what is new in another store."""
    other = options.other if "://" in options.other else _existing(options.other)
    with acting(options) as at:
        merged = at.store.upkeep.merge(at.actor, other)
        people = at.everyone()
    say(f"{merged.rows} new rows; {merged.erased} contents erased as the other station did")
    for one, same in merged.linked:
        say(f"one person now: {named(people, min(one, same))} ({one} and {same})")
    return PASSED


def incidents_(options: argparse.Namespace) -> int:
    """What the store noticed."""
    with acting(options) as at:
        for one in at.store.upkeep.incidents(at.actor):
            say(f"{one.at:%Y-%m-%d %H:%M:%S} UTC  {one.kind}  {one.text}")
    return PASSED


def sign_ins_(options: argparse.Namespace) -> int:
    """Every PIN that was tried."""
    with acting(options) as at:
        people = at.everyone()
        for one in at.store.people.sign_ins(at.actor):
            who = named(people, one.person) if one.person else "unknown staff number"
            say(f"{one.at:%Y-%m-%d %H:%M:%S} UTC  {'opened' if one.opened else 'tried'}  {who}")
    return PASSED


def head_of(text: str) -> Head:
    """A head as it was printed. Raises RehearseError."""
    try:
        return Head.parse("".join(text.split()))
    except ValueError:
        raise RehearseError(
            f"{text}: no chain head; write station:rows:hash, as it was printed"
        ) from None


def _in_file(name: str | None) -> list[str]:
    if not name:
        return []
    try:
        return [line for line in Path(name).read_text("utf-8").splitlines() if line.strip()]
    except (OSError, UnicodeDecodeError):
        raise RehearseError(
            f"{name}: cannot be read; name a file that 'records head' wrote"
        ) from None


def _existing(name: str) -> Path:
    if not Path(name).is_file():
        raise RehearseError(f"{name}: there is no such file; check the name")
    return Path(name)
