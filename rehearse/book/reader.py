"""One procedure file in, one `Procedure` out, or every fault of the file at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from rehearse.book.demands import check_demands
from rehearse.book.draft import Draft, StepDraft, good_id, read_draft, step_field
from rehearse.book.faults import START, Faults, Mark
from rehearse.book.lexicon import beside
from rehearse.book.model import Demands, PassRule, Procedure, Revision, Step
from rehearse.book.nodes import Items, Keys, Node, read_tree
from rehearse.book.relations import check
from rehearse.language.additions import Additions
from rehearse.register.references import filled

T = TypeVar("T")


@dataclass(frozen=True)
class Located:
    """A procedure with the places its values were written at.

    places: by field, as faults name it (`title`, `steps[drum]`, `steps[drum].also[1]`).
    """

    procedure: Procedure
    places: Mapping[str, Mark]

    def place(self, field: str) -> Mark:
        """Where the field is, or what it is part of; the file's start when it is nowhere."""
        while field not in self.places and field:
            field = field[: max(field.rfind("."), field.rfind("["), 0)]
        return self.places.get(field, START)


def read(path: Path) -> Procedure:
    """The procedure in the file.

    Raises:
        BookError: the file, or the lexicon beside it, cannot be read or has faults; `problems`
            holds all of them.
    """
    return locate(path).procedure


def locate(path: Path) -> Located:
    """The procedure in the file and where each of its values stands.

    Raises:
        BookError: as `read`.
    """
    faults = Faults(path)
    text, node = read_tree(path, faults)
    draft = read_draft(filled(node, text, faults), faults)
    check(draft.steps, draft.order != "free", faults)
    check_demands(draft.steps, faults)
    if faults:
        raise faults.error()
    return Located(_procedure(draft, path), _places(node))


def _lexicon(draft: Draft, path: Path) -> Additions:
    """The operator's words that lie beside the file. Raises BookError when they have faults."""
    return beside(path, _there(draft.language))


def _procedure(draft: Draft, path: Path) -> Procedure:
    """The draft as values; only a draft without faults is complete enough."""
    usual = PassRule()
    return Procedure(
        id=_there(draft.id),
        title=_there(draft.title),
        aircraft=_there(draft.aircraft),
        positions=draft.positions,
        language=_there(draft.language),
        revision=Revision(
            number=_there(draft.number),
            effective=_there(draft.effective),
            source=_there(draft.source),
        ),
        order="free" if draft.order == "free" else "strict",
        pass_rule=PassRule(
            critical="none" if draft.critical == "none" else "all",
            share=usual.share if draft.share is None else draft.share,
            within=draft.within,
        ),
        steps=tuple(_step(step) for step in draft.steps),
        topic=draft.topic or "",
        path=path,
        lexicon=_lexicon(draft, path),
    )


def _step(step: StepDraft) -> Step:
    return Step(
        id=_there(step.id).value,
        say=_there(step.say).value,
        critical=step.critical,
        command=step.command,
        also=tuple(placed.value for placed in step.also),
        never=tuple(placed.value for placed in step.never),
        after=None if step.after is None else tuple(placed.value for placed in step.after),
        reason=step.reason,
        demands=Demands(
            tuple(placed.value for placed in step.demands.named),
            tuple(placed.value for placed in step.demands.spare),
            tuple(
                (said.value, tuple(other.value for other in others))
                for said, others in step.demands.contrasts
            ),
        ),
    )


def _there(value: T | None) -> T:
    """The value, which a draft without faults has."""
    if value is None:
        raise AssertionError("a required value is missing and no fault was told")
    return value


def _places(node: Node) -> dict[str, Mark]:
    """Where each field of a faultless file stands."""
    places: dict[str, Mark] = {}
    waiting: list[tuple[str, Node]] = [("", node)]
    while waiting:
        field, entry = waiting.pop()
        places[field] = entry.mark
        if isinstance(entry, Keys):
            prefix = f"{field}." if field else ""
            waiting.extend((prefix + key.text, value) for key, value in entry.entries)
        elif isinstance(entry, Items):
            for number, item in enumerate(entry.items, start=1):
                name = step_field(number, good_id(item)) if field == "steps" else None
                waiting.append((name or f"{field}[{number}]", item))
    return places
