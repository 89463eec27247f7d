"""From the tree of a procedure file to a draft: every key known, every value of its kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from rehearse.book import fields
from rehearse.book.faults import Faults, Mark, shown
from rehearse.book.fields import Placed
from rehearse.book.keys import read_keys
from rehearse.book.nodes import Items, Keys, Node, Refused, Scalar

MAX_STEPS = 200

_REQUIRED = ("procedure", "title", "aircraft", "language", "revision", "steps")
_TOP = (*_REQUIRED, "positions", "order", "pass")
_REVISION = ("number", "effective", "source")
_PASS = ("critical", "share", "within")
_STEP = ("id", "say", "critical", "command", "also", "never", "after", "reason", "demands")
_DEMANDS = ("named", "spare", "contrasts")

T = TypeVar("T")


Against = tuple[Placed[str], tuple[Placed[str], ...]]


@dataclass(frozen=True)
class DemandsDraft:
    """What a step's author corrects in what is demanded; `mark` is None when there is nothing."""

    mark: Mark | None = None
    named: tuple[Placed[str], ...] = ()
    spare: tuple[Placed[str], ...] = ()
    contrasts: tuple[Against, ...] = ()


@dataclass(frozen=True)
class StepDraft:
    """A step as far as it could be read; what was faulty is None or left out.

    field: how faults name the step, as `steps[drum]`, or `steps[2]` when it has no good id.
    """

    field: str
    mark: Mark
    id: Placed[str] | None
    say: Placed[str] | None
    critical: bool
    command: bool
    also: tuple[Placed[str], ...]
    never: tuple[Placed[str], ...]
    after: tuple[Placed[str], ...] | None
    reason: str
    demands: DemandsDraft


@dataclass(frozen=True)
class Draft:
    """A procedure as far as it could be read; complete when no fault was told."""

    id: str | None
    title: str | None
    aircraft: str | None
    positions: tuple[str, ...]
    language: str | None
    number: int | None
    effective: date | None
    source: str | None
    order: str | None
    critical: str | None
    share: float | None
    within: float | None
    steps: tuple[StepDraft, ...]


def read_draft(node: Node, faults: Faults) -> Draft:
    """Read every key and value of the file; every fault is told."""
    top = read_keys(node, "", _TOP, _REQUIRED, faults)
    revision = _inner(top, "revision", _REVISION, _REVISION, faults)
    passing = _inner(top, "pass", _PASS, (), faults)
    return Draft(
        id=_value(top, "", "procedure", fields.identifier, faults),
        title=_value(top, "", "title", fields.title, faults),
        aircraft=_value(top, "", "aircraft", fields.identifier, faults),
        positions=_positions(top, faults),
        language=_value(top, "", "language", fields.language, faults),
        number=_value(revision, "revision.", "number", fields.whole_number, faults),
        effective=_value(revision, "revision.", "effective", fields.day, faults),
        source=_value(revision, "revision.", "source", fields.label, faults),
        order=_value(top, "", "order", _order, faults),
        critical=_value(passing, "pass.", "critical", _critical, faults),
        share=_value(passing, "pass.", "share", fields.fraction, faults),
        within=_value(passing, "pass.", "within", fields.seconds, faults),
        steps=_steps(top.get("steps"), faults),
    )


def step_field(number: int, step_id: str | None) -> str:
    """How faults and places name a step; `number` counts from 1."""
    return f"steps[{step_id or number}]"


def _value(
    keys: Mapping[str, Node], prefix: str, key: str, check: fields.Check[T], faults: Faults
) -> T | None:
    """The checked value of a key; None when it is faulty or not there."""
    placed = check(keys[key], prefix + key, faults) if key in keys else None
    return None if placed is None else placed.value


def _inner(
    top: Mapping[str, Node],
    key: str,
    known: tuple[str, ...],
    required: tuple[str, ...],
    faults: Faults,
) -> dict[str, Node]:
    return read_keys(top[key], key, known, required, faults) if key in top else {}


def _order(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    return fields.choice(node, field, ("strict", "free"), faults)


def _critical(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    return fields.choice(node, field, ("all", "none"), faults)


def _positions(top: Mapping[str, Node], faults: Faults) -> tuple[str, ...]:
    if "positions" not in top:
        return ()
    listed = fields.several(top["positions"], "positions", fields.position, "[C4]", faults)
    positions: list[str] = []
    for number, placed in enumerate(listed, start=1):
        if placed.value in positions:
            fault = f"{placed.value} is listed a second time"
            faults.add(placed.mark, f"positions[{number}]", fault, "take it out")
        positions.append(placed.value)
    return tuple(positions)


def _steps(node: Node | None, faults: Faults) -> tuple[StepDraft, ...]:
    """The steps of the file; a missing key is told by whoever read the keys."""
    if node is None or isinstance(node, Refused):
        return ()
    mend = "list at least one step: '- id: ...' and below it 'say: ...'"
    if not isinstance(node, Items):
        nothing = isinstance(node, Scalar) and node.kind == "nothing"
        fault = "there are no steps" if nothing else "the steps are not a list"
        faults.add(node.mark, "steps", fault, mend)
        return ()
    if not node.items:
        faults.add(node.mark, "steps", "there are no steps", mend)
    if len(node.items) > MAX_STEPS:
        fault = f"there are {len(node.items)} steps, more than {MAX_STEPS}"
        faults.add(node.mark, "steps", fault, "split the procedure into several")
        return ()
    return tuple(_step(item, number, faults) for number, item in enumerate(node.items, start=1))


def _step(node: Node, number: int, faults: Faults) -> StepDraft:
    field = step_field(number, good_id(node))
    keys = read_keys(node, field, _STEP, ("id", "say"), faults)
    prefix = field + "."
    after = None
    if "after" in keys:
        after = fields.several(keys["after"], prefix + "after", fields.identifier, "[drum]", faults)
    return StepDraft(
        field=field,
        mark=node.mark,
        id=fields.identifier(keys["id"], prefix + "id", faults) if "id" in keys else None,
        say=fields.sentence(keys["say"], prefix + "say", faults) if "say" in keys else None,
        critical=_value(keys, prefix, "critical", fields.truth, faults) or False,
        command=_value(keys, prefix, "command", fields.truth, faults) or False,
        also=_wordings(keys, prefix, "also", faults),
        never=_wordings(keys, prefix, "never", faults),
        after=after,
        reason=_value(keys, prefix, "reason", fields.sentence, faults) or "",
        demands=_demands(keys.get("demands"), prefix + "demands", faults),
    )


def _demands(node: Node | None, field: str, faults: Faults) -> DemandsDraft:
    if node is None:
        return DemandsDraft()
    keys = read_keys(node, field, _DEMANDS, (), faults)
    return DemandsDraft(
        node.mark,
        _wordings(keys, field + ".", "named", faults),
        _wordings(keys, field + ".", "spare", faults),
        _against(keys.get("contrasts"), field + ".contrasts", faults),
    )


def _against(node: Node | None, field: str, faults: Faults) -> tuple[Against, ...]:
    """Phrases of the step, each with what must not be said in its place."""
    if node is None or isinstance(node, Refused):
        return ()
    if not isinstance(node, Keys):
        mend = "write 'a phrase of the step: [what it is not]'"
        faults.add(node.mark, field, "there are no keys here", mend)
        return ()
    found: list[Against] = []
    for key, value in node.entries:
        place = f"{field}.{shown(key.text).strip(chr(39))}"
        said = fields.sentence(Scalar(key.text, "text", key.mark), place, faults)
        others = fields.several(value, place, fields.sentence, "[lever]", faults)
        if isinstance(value, Items) and not value.items:
            faults.add(value.mark, place, "the list is empty", "write what it must not be")
        if said is not None and others:
            found.append((said, others))
    return tuple(found)


def _wordings(
    keys: Mapping[str, Node], prefix: str, key: str, faults: Faults
) -> tuple[Placed[str], ...]:
    if key not in keys:
        return ()
    return fields.several(keys[key], prefix + key, fields.sentence, '["..."]', faults)


def good_id(node: Node) -> str | None:
    """The id a step's entry gives itself, when it is one; nothing is told."""
    if not isinstance(node, Keys):
        return None
    for key, value in node.entries:
        if key.text == "id" and isinstance(value, Scalar) and fields.is_id(value.text):
            return value.text
    return None
