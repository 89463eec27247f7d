"""The parts of a step's sentence that a person would name: action, object, place, condition ..."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import yaml

from rehearse.language.lexicon import Form, form
from rehearse.language.token import Token


@dataclass(frozen=True)
class PartWords:
    """The words that part a sentence; see `facts-en.yaml`."""

    sets: Mapping[str, tuple[str, ...]]
    conditions: tuple[Form, ...]
    orders: tuple[Form, ...]
    places: tuple[Form, ...]
    ends: frozenset[str]
    determiners: frozenset[str]
    copulas: frozenset[str]
    joints: frozenset[str]
    actors: frozenset[str]
    ands: frozenset[str]
    links: frozenset[str]
    helpers: frozenset[str]


@dataclass(frozen=True)
class Parts:
    """A sentence in parts, each in the words it is written in; empty where it has none.

    actions, objects: in order, one object an action ("" when it has none).
    """

    actions: tuple[str, ...]
    objects: tuple[str, ...]
    places: tuple[str, ...]
    actor: str
    conditions: tuple[str, ...]
    orders: tuple[str, ...]
    denied: bool


@lru_cache
def part_words(code: str) -> PartWords:
    """The shipped words of a language."""
    text = resources.files("rehearse.language").joinpath(f"facts-{code}.yaml").read_text("utf-8")
    data = yaml.load(text, yaml.BaseLoader)  # noqa: S506 - all is text

    def forms(key: str) -> tuple[Form, ...]:
        return tuple(sorted(map(form, data[key]), key=len, reverse=True))

    return PartWords(
        sets={name: tuple(members) for name, members in data["sets"].items()},
        conditions=forms("conditions"),
        orders=forms("orders"),
        places=forms("places"),
        ends=frozenset(data["ends"]),
        determiners=frozenset(data["determiners"]),
        copulas=frozenset(data["copulas"]),
        joints=frozenset(data["joints"]),
        actors=frozenset(data["actors"]),
        ands=frozenset(data["ands"]),
        links=frozenset(data["links"]),
        helpers=frozenset(data["helpers"]),
    )


def parts(text: str, tokens: Sequence[Token], negations: frozenset[str], code: str) -> Parts:
    """The parts of one sentence."""
    return _Parser(text, tokens, negations, part_words(code)).parts()


class _Parser:
    """One pass over the tokens of a sentence; clauses are cut out first, then the rest is read."""

    def __init__(
        self, text: str, tokens: Sequence[Token], negations: frozenset[str], words: PartWords
    ) -> None:
        self._printed = text.split()
        self._tokens = tokens
        self._forms = tuple(token.form for token in tokens)
        self._negations = negations
        self._words = words
        self._free = [True] * len(tokens)

    def parts(self) -> Parts:
        conditions = self._clauses(self._words.conditions)
        orders = self._clauses(self._words.orders)
        places = self._places()
        actor = self._actor()
        denied = any(f in self._negations for f, free in self._pairs() if free)
        actions, objects = self._acts()
        return Parts(actions, objects, places, actor, conditions, orders, denied)

    def _pairs(self) -> list[tuple[str, bool]]:
        return list(zip(self._forms, self._free, strict=True))

    def _clauses(self, openers: Sequence[Form]) -> tuple[str, ...]:
        """The clauses that one of these words opens, to the next comma or clause."""
        found: list[str] = []
        for at in range(len(self._forms)):
            opener = self._opener(openers, at)
            if not self._free[at] or opener is None:
                continue
            end = at + len(opener)
            while end < len(self._forms) and self._free[end] and not self._cut(end):
                end += 1
            found.append(self._take(at, end))
        return tuple(found)

    def _opener(self, openers: Sequence[Form], at: int) -> Form | None:
        return next((o for o in openers if self._forms[at : at + len(o)] == o), None)

    def _cut(self, at: int) -> bool:
        """Whether a clause ends before this token."""
        words = (*self._words.conditions, *self._words.orders)
        return self._after_comma(at) or self._opener(words, at) is not None

    def _after_comma(self, at: int) -> bool:
        return at > 0 and self._printed[self._tokens[at - 1].end - 1][-1] in ",;:.!?"

    def _places(self) -> tuple[str, ...]:
        found: list[str] = []
        for at in range(1, len(self._forms)):
            opener = self._opener(self._words.places, at)
            if not self._free[at] or opener is None:
                continue
            end = self._phrase_end(at + len(opener))
            if end > at + len(opener):
                found.append(self._take(at, end))
        return tuple(found)

    def _phrase_end(self, at: int) -> int:
        """Index just past the noun phrase that starts here."""
        end = at
        while end < len(self._forms) and self._free[end] and not self._phrase_cut(end, at):
            end += 1
        return end

    def _phrase_cut(self, at: int, first: int) -> bool:
        ends = self._forms[at] in self._words.ends
        if at > first and self._forms[at] in self._words.ands and self._joins_things(at):
            ends = False
        opens = self._opener(self._words.places, at) is not None
        return ends or opens or (at > first and self._after_comma(at))

    def _joins_things(self, at: int) -> bool:
        """Whether this "and" joins two things ("the sill and the seal"), not two actions."""
        after = self._forms[at + 1 : at + 3]
        return bool(after) and (
            after[0] in self._words.determiners
            or (len(after) > 1 and after[1] in self._words.copulas)
        )

    def _actor(self) -> str:
        if not self._forms:
            return ""
        first = self._tokens[0]
        if self._free[0] and (first.kind == "position" or first.form in self._words.actors):
            return self._take(0, 1)
        return ""

    def _acts(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Each verb at the head of a clause, with the noun phrase that follows it."""
        actions: list[str] = []
        objects: list[str] = []
        heads = [at for at in range(len(self._forms)) if self._heads(at)]
        for at in heads:
            if self._forms[at] in self._words.determiners or self._tokens[at].kind != "word":
                actions.append("")
                end = self._phrase_end(at)
                objects.append(self._print(at, end))
                continue
            actions.append(self._print(at, at + 1))
            start = at + 1
            while start < len(self._forms) and self._forms[start] in self._words.links:
                start += 1
            objects.append(self._print(start, self._phrase_end(start)))
        return tuple(actions), tuple(objects)

    def _heads(self, at: int) -> bool:
        """Whether a clause of the main sentence starts at this token."""
        joints = self._words.joints
        small = joints | self._negations | self._words.helpers
        if not self._free[at] or self._forms[at] in small | self._words.ends:
            return False
        before = at - 1
        while before >= 0 and self._free[before] and self._forms[before] in small - joints:
            before -= 1
        if before < 0 or not any(self._free[: before + 1]):
            return True
        if self._after_comma(before + 1):
            return self._forms[at] in self._words.determiners
        alone = at + 1 == len(self._forms) or not self._free[at + 1]
        joint = self._free[before] and self._forms[before] in joints
        return joint and not alone and not self._joins_things(before)

    def _take(self, first: int, end: int) -> str:
        for at in range(first, end):
            self._free[at] = False
        return self._print(first, end)

    def _print(self, first: int, end: int) -> str:
        if end <= first:
            return ""
        words = self._printed[self._tokens[first].first : self._tokens[end - 1].end]
        return " ".join(words).strip(".,;:!?")
