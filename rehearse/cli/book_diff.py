"""What `book diff` does: two revisions compared, and whose results become stale."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path

from rehearse.authoring.difference import changes
from rehearse.authoring.difference_page import difference_page
from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.cli.acting import acting, programme
from rehearse.cli.common import NOT_PASSED, PASSED, say
from rehearse.errors import AuthoringError

Pairs = list[tuple[Procedure | None, Procedure | None]]


def diff_(options: argparse.Namespace) -> int:
    """Compare two revisions of a procedure, or two folders of them."""
    if options.records and not options.acting:
        raise AuthoringError("--records: say who reads them; add --as STAFFNUMBER")
    compared = list(_compared(options.old, options.new))
    differing = False
    for old, new in compared:
        if old is None or new is None:
            one, word = (new, "only in the new") if old is None else (old, "only in the old")
            say(f"{word} folder: {one.id if one else ''}")
            differing = True
        elif changes(old, new):
            for line in difference_page(old, new):
                say(line)
            differing = True
    if not differing:
        say("nothing differs")
    if options.acting:
        _tell_stale(options, [new for old, new in compared if old and new and changes(old, new)])
    return NOT_PASSED if differing else PASSED


def _compared(old: str, new: str) -> Iterator[tuple[Procedure | None, Procedure | None]]:
    """The two procedures; of two folders, those with the same id, and those in one only."""
    folders = [Path(old).is_dir(), Path(new).is_dir()]
    if not any(folders):
        yield shelf.find(old), shelf.find(new)
        return
    if not all(folders):
        raise AuthoringError(f"{old} and {new}: name two files or two folders")
    before, now = _stock(Path(old)), _stock(Path(new))
    for name in dict.fromkeys((*before, *now)):
        yield before.get(name), now.get(name)


def _stock(folder: Path) -> dict[str, Procedure]:
    found = shelf.stock([folder])
    for error in found.broken:
        raise error
    return {procedure.id: procedure for procedure in found.procedures}


def _tell_stale(options: argparse.Namespace, new: Sequence[Procedure]) -> None:
    """Who must be checked again because of the new revisions."""
    from rehearse.authoring.stale import made_stale

    with acting(options) as at:
        plan = programme(options, at.store)
        columns = at.store.currency.columns(at.actor, plan.elements)
        names = {each.staff: each.name for each in columns.people}
        on = max([at.today, *(procedure.revision.effective for procedure in new)])
        found = made_stale(columns, new, on)
    say("")
    for each in found:
        since = f"last passed {each.last}"
        stale = ", ".join(each.stale)
        say(f"stale: {each.staff} {names[each.staff]}, {each.element}, {since}; revised: {stale}")
    count = "1 result becomes" if len(found) == 1 else f"{len(found)} results become"
    say(f"{count} stale on {on}, {plan.id}; nothing was changed")
