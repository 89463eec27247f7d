"""What keys an entry may and must have: unknown, doubled and missing ones are told."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.nodes import Keys, Node, Refused, Scalar


def read_keys(
    node: Node, field: str, known: Sequence[str], required: Sequence[str], faults: Faults
) -> dict[str, Node]:
    """The values of the known keys. A key that is misspelt counts as the one that was meant.

    `field` names the entry, "" for the file itself. What is missing is told at the entry's start.
    """
    if isinstance(node, Refused):
        return {}
    if not isinstance(node, Keys):
        mend = f"write keys with values here, beginning with '{known[0]}: '"
        faults.add(node.mark, field or "file", "there are no keys here", mend)
        return {}
    values: dict[str, Node] = {}
    seen: dict[str, Mark] = {}
    doubtful: list[tuple[Scalar, Node]] = []
    for key, value in node.entries:
        if key.text in seen:
            fault = f"the key stands here a second time, first in line {seen[key.text].line}"
            faults.add(key.mark, _inside(field, key.text), fault, "keep one of the two")
        elif key.text in known:
            values[key.text] = value
        else:
            doubtful.append((key, value))
        seen.setdefault(key.text, key.mark)
    for key, value in doubtful:
        meant = _tell_unknown(
            key, field, known, [name for name in known if name not in values], faults
        )
        if meant is not None:
            values[meant] = value
    for name in required:
        if name not in values:
            mend = f"add a line '{name}: ...'"
            faults.add(node.mark, _inside(field, name), "the key is missing", mend)
    return values


def _tell_unknown(
    key: Scalar, field: str, known: Sequence[str], absent: Sequence[str], faults: Faults
) -> str | None:
    """Tell that the key is unknown; the absent key it was probably meant to be, if any."""
    meant = nearest(key.text, absent)
    mend = f"write '{meant}'" if meant else f"take it out (known here: {', '.join(known)})"
    faults.add(key.mark, _inside(field, key.text), "the key is unknown", mend)
    return meant


def _inside(field: str, key: str) -> str:
    name = shown(key).strip("'") or "''"
    return f"{field}.{name}" if field else name
