"""Slots: the words that decide a step (state, side, number, colour ...), and whether they agree.

A slot belongs to a contrast set of the lexicon, or is a number or a door. Slots of a step and of
what was said are compared set by set: a value that is there agrees, a set that is silent is
missing, a set that only says something else contradicts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rehearse.language.lexicon import Contrast, Lexicon
from rehearse.language.token import Token

# Sets whose words also do other work in a sentence, or whose value turns round with the clause
# ("check, then open" = "open after checking"): never enough to call a saying wrong by themselves.
WEAK = frozenset(
    {"when", "rank", "particle", "company", "remain", "occupancy", "crewing", "hooking"}
)

# Sets that a saying must name when the wording does: leaving one out is never a fair paraphrase.
NAMED = frozenset({"door", "side", "colour", "arming", "position"})


@dataclass(frozen=True)
class Slot:
    """One slot: its contrast set, its value, and the tokens that say it (first index, count)."""

    name: str
    value: str
    first: int
    count: int
    negated: bool = False


@dataclass(frozen=True)
class Agreement:
    """How the slots of what was said compare with a step's.

    agreed, missing, contradicted: slots of the step, by what became of them.
    against: for each contradicted slot, the slot that was said in its place.
    mixed: slots of the step whose set was said both rightly and otherwise.
    """

    agreed: tuple[Slot, ...] = ()
    missing: tuple[Slot, ...] = ()
    contradicted: tuple[Slot, ...] = ()
    against: tuple[Slot, ...] = ()
    mixed: tuple[Slot, ...] = field(default=())


def slots(tokens: Sequence[Token], lexicon: Lexicon) -> tuple[Slot, ...]:
    """Every slot among the tokens, in order; one phrase may belong to several sets."""
    forms = tuple(token.form for token in tokens)
    present = frozenset(forms)
    found: list[Slot] = []
    for at, token in enumerate(tokens):
        if token.kind != "word":
            found.append(Slot(token.kind, token.form, at, 1, token.negated))
        if token.kind in {"door", "position"}:
            continue
        for contrast in lexicon.contrasts:
            slot = _slot_at(contrast, tokens, forms, present, at)
            if slot is not None:
                found.append(slot)
    return tuple(_without_overlaps(found))


def _slot_at(
    contrast: Contrast,
    tokens: Sequence[Token],
    forms: tuple[str, ...],
    present: frozenset[str],
    at: int,
) -> Slot | None:
    if contrast.near and not contrast.near & present:
        return None
    best = max(
        (form for form in contrast.phrases if forms[at : at + len(form)] == form),
        key=len,
        default=None,
    )
    if best is None:
        return None
    return Slot(contrast.name, contrast.phrases[best], at, len(best), tokens[at].negated)


def _without_overlaps(found: Sequence[Slot]) -> Iterable[Slot]:
    """Drops a slot inside a longer phrase of the same set ("left" within "left hand")."""
    for slot in found:
        if not any(
            other is not slot
            and other.name == slot.name
            and other.count > slot.count
            and other.first <= slot.first < other.first + other.count
            for other in found
        ):
            yield slot


def compare(step: Sequence[Slot], said: Sequence[Slot]) -> Agreement:
    """The step's slots set by set against the slots that were said."""
    agreed: list[Slot] = []
    missing: list[Slot] = []
    contradicted: list[Slot] = []
    against: list[Slot] = []
    mixed: list[Slot] = []
    for name in dict.fromkeys(slot.name for slot in step):
        wanted = [slot for slot in step if slot.name == name]
        got = [slot for slot in said if slot.name == name]
        expected = {slot.value for slot in wanted}
        others = [slot for slot in got if slot.value not in expected and not slot.negated]
        for slot in wanted:
            if any(slot.value == other.value for other in got):
                agreed.append(slot)
                if others:
                    mixed.append(slot)
            elif others and not slot.negated:
                contradicted.append(slot)
                against.append(others[0])
            else:
                missing.append(slot)
    return Agreement(*map(tuple, (agreed, missing, contradicted, against, mixed)))
