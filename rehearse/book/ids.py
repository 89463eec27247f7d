"""Ids that name entries: each stands once, and what is named exists."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rehearse.book.faults import Faults, Mark, nearest, shown


@dataclass(frozen=True)
class Named:
    """An id as it stands in a file. value: "" when it is missing, which was told before."""

    value: str
    mark: Mark
    field: str


def once(ids: Iterable[Named], faults: Faults) -> None:
    """Tell every id that an entry before it has."""
    seen: dict[str, Mark] = {}
    for each in ids:
        if each.value in seen:
            fault = f"the id {shown(each.value)} is taken, first in line {seen[each.value].line}"
            faults.add(each.mark, each.field, fault, "give it an id of its own")
        elif each.value:
            seen[each.value] = each.mark


def known(named: Named, ids: Iterable[str], what: str, faults: Faults) -> bool:
    """Whether the id is one of these; otherwise it is told. what: what the ids are of."""
    ids = tuple(ids)
    if not named.value or named.value in ids:
        return bool(named.value)
    close = nearest(named.value, ids)
    listed = f"write one of {', '.join(ids[:8])}" if ids else "take it out"
    fault = f"there is no {what} {shown(named.value)}"
    faults.add(named.mark, named.field, fault, f"write {close}" if close else listed)
    return False
