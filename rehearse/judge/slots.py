"""Slots: the words that decide a step (state, side, number, colour ...), and whether they agree.

A slot belongs to a contrast set of the lexicon, or is a number or a door. Slots of a step and of
what was said are compared set by set: a value that is there agrees, a set that is silent is
missing, a set that only says something else contradicts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from rehearse.language.lexicon import Contrast, Lexicon
from rehearse.language.token import Token

# A set goes by the same name in every language that has it.

# Sets whose words also do other work in a sentence, or whose value turns round with the clause
# ("check, then open" = "open after checking"): never enough to call a saying wrong by themselves.
WEAK = frozenset(
    {"when", "rank", "particle", "company", "remain", "occupancy", "crewing", "hooking"}
)

# Sets that a saying must name when the wording does: leaving one out is never a fair paraphrase.
NAMED = frozenset({"door", "side", "colour", "arming", "position", "light"})

PLACED = frozenset({"light", "power"})  # sets whose "on" and "off" may be words of place
ANGLE = "extent"  # the set that parts of a turn belong to

# Sets whose values are done to something: naming the other one is doing the opposite.
DONE = frozenset({"arming", "opening", "locking", "fastening", "attachment", "inflation"})


@dataclass(frozen=True)
class Slot:
    """One slot: its contrast set, its value, and the tokens that say it (first index, count).

    named: a saying must name it; leaving it out is never a fair paraphrase.
    """

    name: str
    value: str
    first: int
    count: int
    negated: bool = False
    named: bool = False


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
    timed = 0  # just past the last duration
    for at, token in enumerate(tokens):
        if at < timed:
            continue
        duration = _duration_at(forms, at, lexicon)
        if duration:
            found.extend(duration)
            timed = at + duration[0].count
            continue
        if token.kind != "word":
            found.extend(_figure_at(tokens, forms, at, lexicon))
        if token.kind in {"door", "position"}:
            continue
        for contrast in lexicon.openings.get(token.form, ()):
            if contrast.name in PLACED and _of_place(forms, at, lexicon):
                continue
            slot = _slot_at(contrast, tokens, forms, present, at)
            if slot is not None:
                found.append(slot)
    return tuple(_without_overlaps(found))


def _duration_at(forms: tuple[str, ...], at: int, lexicon: Lexicon) -> list[Slot]:
    """A time that is no whole number of a unit ("half a minute"), as its seconds."""
    if forms[at] not in lexicon.duration_words:
        return []
    phrase = max(
        (p for p in lexicon.durations if forms[at : at + len(p)] == p), key=len, default=()
    )
    if not phrase:
        return []
    seconds = str(lexicon.durations[phrase])
    return [
        Slot("number", seconds, at, len(phrase)),
        Slot("unit", "second", at, len(phrase)),
    ]


def _figure_at(
    tokens: Sequence[Token], forms: tuple[str, ...], at: int, lexicon: Lexicon
) -> list[Slot]:
    """A door, a position, or a number with its unit.

    Minutes are compared as seconds. An angle is a part of a turn ("ninety degrees" is a quarter),
    which its contrast set finds; one that is no such part stands against them all.
    """
    token = tokens[at]
    named = token.kind in NAMED
    figure = Slot(token.kind, token.form, at, 1, token.negated, named)
    units = list(_unit_at(forms, at + 1, lexicon)) if token.kind == "number" else []
    if not units:
        return [figure]
    (unit,) = units
    if unit.value == "degree":
        turns = next((c for c in lexicon.contrasts if c.name == ANGLE), None)
        part = turns and forms[at : at + 1 + unit.count] in turns.phrases
        return [] if part else [replace(figure, name=ANGLE, value=f"{token.form} degrees")]
    if unit.value == "minute":
        seconds = str(60 * int(token.form))
        return [replace(figure, value=seconds), replace(unit, value="second")]
    return [figure, unit]


def _unit_at(forms: tuple[str, ...], at: int, lexicon: Lexicon) -> Iterable[Slot]:
    """The unit that stands right after a number, by its longest name."""
    names = (name for name in lexicon.units if forms[at : at + len(name)] == name)
    name = max(names, key=len, default=())
    return [Slot("unit", lexicon.units[name], at, len(name))] if name else []


def _of_place(forms: tuple[str, ...], at: int, lexicon: Lexicon) -> bool:
    """Whether "on" or "off" is a word of place here ("on the sill")."""
    return forms[at] in lexicon.grammar.placing and forms[at + 1 : at + 2] in {
        (word,) for word in lexicon.determiners
    }


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
    named = contrast.named or contrast.name in NAMED
    return Slot(contrast.name, contrast.phrases[best], at, len(best), tokens[at].negated, named)


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
