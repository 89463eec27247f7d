"""What the commands of `records` that concern a person's own data do."""

from __future__ import annotations

import argparse
import json
import shutil
from pathlib import Path

from rehearse.cli.acting import Acting, acting
from rehearse.cli.common import PASSED, complain, say
from rehearse.cli.records_reading import named
from rehearse.errors import RehearseError
from rehearse.paper.files import file_name, save
from rehearse.record.place import cannot_write, takes_folder
from rehearse.store import Erased, Text


def consent_(options: argparse.Namespace) -> int:
    """Record consent to keeping sound."""
    given = options.answer == "yes"
    with acting(options) as at:
        at.store.privacy.consent(at.actor, at.person(options.person).id, Text.SOUND, given=given)
    say(f"{options.person}: sound {'may' if given else 'must not'} be kept from now on")
    return PASSED


def accesses_(options: argparse.Namespace) -> int:
    """Who read what of whom."""
    with acting(options) as at:
        people = at.everyone()
        person = at.person(options.person).id if options.person else None
        for one in at.store.privacy.accesses(at.actor, person):
            whose = f" of {named(people, one.person)}" if one.person else ""
            what = f"{one.what} {one.record}".strip()
            purpose = f": {one.purpose}" if one.purpose else ""
            say(f"{one.at:%Y-%m-%d %H:%M:%S} UTC  {named(people, one.by)}  {what}{whose}{purpose}")
    return PASSED


def export_person_(options: argparse.Namespace) -> int:
    """Everything about one person."""
    with acting(options) as at:
        export = at.store.privacy.export(at.actor, at.person(options.person).id)
        today = at.today
    folder = Path(options.to)
    try:
        folder.mkdir(mode=0o700, parents=True)
    except OSError as error:
        raise cannot_write(folder, error) from error
    data = {
        "notice": export.notice,
        "person": {"id": export.person.id, "name": export.person.name},
        "rows": {table: list(rows) for table, rows in export.rows.items()},
    }
    text = json.dumps(data, ensure_ascii=False, indent=1, default=str)
    save(folder / file_name("person", options.person, today, "json"), text.encode())
    for result, flac in export.sounds.items():
        save(folder / file_name("sound", result, today, "flac"), flac)
    say(f"written to {folder}: {sum(map(len, export.rows.values()))} rows, "
        f"{len(export.sounds)} sounds")  # fmt: skip
    return PASSED


def erase_person_(options: argparse.Namespace) -> int:
    """Erase a person's data, in the store and in the takes folder."""
    takes = Path(options.takes) if options.takes else takes_folder()
    with acting(options) as at:
        person = at.person(options.person)
        folders = _takes_of(at, person.id, takes)
        erased = at.store.privacy.erase(at.actor, person.id, options.reason)
    for folder in folders:
        try:
            shutil.rmtree(folder)
        except OSError as error:
            raise RehearseError(f"{folder}: erased in the records, but this take is left; "
                                f"delete it yourself ({error.strerror})") from error  # fmt: skip
    say(f"{options.person}: {_counted(erased)}; {len(folders)} takes deleted in {takes}; "
        "the results stay, without a name; older backups still have it all")  # fmt: skip
    if erased.named:
        complain(f"{options.person}: is still named in text that stays on record, which was "
                 f"written in rows {', '.join(erased.named)}")  # fmt: skip
    return PASSED


def _takes_of(at: Acting, person: str, takes: Path) -> list[Path]:
    found = [record.result.take for record in at.store.results.of(at.actor, person)]
    names = {Path(take.folder).name for take in found if take is not None}
    return [takes / name for name in sorted(names) if name and (takes / name).is_dir()]


def retention_(options: argparse.Namespace) -> int:
    """Show or set how long each kind is kept."""
    with acting(options) as at:
        if options.kind:
            at.store.privacy.retention(at.actor, Text(options.kind), _days(options.days))
        for one in at.store.privacy.retentions(at.actor):
            kept = "always" if one.days is None else f"{one.days} days"
            since = " from when the person left" if one.kind in _SINCE_LEFT and one.days else ""
            say(f"{one.kind}: {kept}{since}")
    return PASSED


_SINCE_LEFT = {Text.IDENTITY, Text.CREDENTIAL}


def _days(text: str | None) -> int | None:
    if text == "always":
        return None
    if text is None or not text.isascii() or not text.isdigit():
        raise RehearseError(f"days: {text or 'missing'}; write a whole number, or always")
    return int(text)


def tidy_(options: argparse.Namespace) -> int:
    """Erase what has been kept for its time."""
    with acting(options) as at:
        say(_counted(at.store.privacy.tidy(at.actor)))
    return PASSED


def _counted(erased: Erased) -> str:
    told = ", ".join(f"{count} {kind}" for kind, count in erased.counts.items() if count)
    return f"erased: {told or 'nothing'}"
