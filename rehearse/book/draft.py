"""From the tree of a procedure file to a draft: every key known, every value of its kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from rehearse.book import fields
from rehearse.book import procedure_keys as known
from rehearse.book.faults import Faults, Mark, shown
from rehearse.book.fields import Placed
from rehearse.book.keys import read_keys
from rehearse.book.nodes import Items, Keys, Node, Refused, Scalar
from rehearse.book.procedure_keys import MAX_STEPS
from rehearse.book.shape import Key, One, Several, names, required

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
    topic: str | None
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
    top = _keys(node, "", known.PROCEDURE, faults)
    revision = _inner(top, "revision", known.REVISION, faults)
    passing = _inner(top, "pass", known.PASS, faults)
    return Draft(
        id=_value(top, "", known.PROCEDURE_ID, faults),
        title=_value(top, "", known.TITLE, faults),
        aircraft=_value(top, "", known.AIRCRAFT, faults),
        topic=_value(top, "", known.TOPIC, faults),
        positions=_positions(top, faults),
        language=_value(top, "", known.LANGUAGE, faults),
        number=_value(revision, "revision.", known.NUMBER, faults),
        effective=_value(revision, "revision.", known.EFFECTIVE, faults),
        source=_value(revision, "revision.", known.SOURCE, faults),
        order=_value(top, "", known.ORDER, faults),
        critical=_value(passing, "pass.", known.PASS_CRITICAL, faults),
        share=_value(passing, "pass.", known.SHARE, faults),
        within=_value(passing, "pass.", known.WITHIN, faults),
        steps=_steps(top.get("steps"), faults),
    )


def step_field(number: int, step_id: str | None) -> str:
    """How faults and places name a step; `number` counts from 1."""
    return f"steps[{step_id or number}]"


def _keys(node: Node, field: str, keys: Sequence[Key], faults: Faults) -> dict[str, Node]:
    return read_keys(node, field, names(keys), required(keys), faults)


def _value(keys: Mapping[str, Node], prefix: str, key: One[T], faults: Faults) -> T | None:
    """The checked value of a key; None when it is faulty or not there."""
    placed = _placed(keys, prefix, key, faults)
    return None if placed is None else placed.value


def _placed(keys: Mapping[str, Node], prefix: str, key: One[T], faults: Faults) -> Placed[T] | None:
    return key.check(keys[key.name], prefix + key.name, faults) if key.name in keys else None


def _listed(
    keys: Mapping[str, Node], prefix: str, key: Several[T], faults: Faults
) -> tuple[Placed[T], ...]:
    """The good values of a key with a list; none when it is not there."""
    if key.name not in keys:
        return ()
    return fields.several(keys[key.name], prefix + key.name, key.check, key.example, faults)


def _inner(
    top: Mapping[str, Node], name: str, keys: Sequence[Key], faults: Faults
) -> dict[str, Node]:
    return _keys(top[name], name, keys, faults) if name in top else {}


def _positions(top: Mapping[str, Node], faults: Faults) -> tuple[str, ...]:
    listed = _listed(top, "", known.POSITIONS, faults)
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
    keys = _keys(node, field, known.STEP, faults)
    prefix = field + "."
    return StepDraft(
        field=field,
        mark=node.mark,
        id=_placed(keys, prefix, known.STEP_ID, faults),
        say=_placed(keys, prefix, known.SAY, faults),
        critical=_value(keys, prefix, known.CRITICAL, faults) or False,
        command=_value(keys, prefix, known.COMMAND, faults) or False,
        also=_listed(keys, prefix, known.ALSO, faults),
        never=_listed(keys, prefix, known.NEVER, faults),
        after=_listed(keys, prefix, known.AFTER, faults) if "after" in keys else None,
        reason=_value(keys, prefix, known.REASON, faults) or "",
        demands=_demands(keys.get("demands"), prefix + "demands", faults),
    )


def _demands(node: Node | None, field: str, faults: Faults) -> DemandsDraft:
    if node is None:
        return DemandsDraft()
    keys = _keys(node, field, known.DEMANDS, faults)
    return DemandsDraft(
        node.mark,
        _listed(keys, field + ".", known.NAMED, faults),
        _listed(keys, field + ".", known.SPARE, faults),
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
        check = known.CONTRASTS.check
        said = check(Scalar(key.text, "text", key.mark), place, faults)
        others = fields.several(value, place, check, "[lever]", faults)
        if isinstance(value, Items) and not value.items:
            faults.add(value.mark, place, "the list is empty", "write what it must not be")
        if said is not None and others:
            found.append((said, others))
    return tuple(found)


def good_id(node: Node) -> str | None:
    """The id a step's entry gives itself, when it is one; nothing is told."""
    if not isinstance(node, Keys):
        return None
    for key, value in node.entries:
        if key.text == "id" and isinstance(value, Scalar) and fields.is_id(value.text):
            return value.text
    return None
