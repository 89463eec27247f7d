"""The word data of a language, read from YAML into values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib import resources
from typing import Any

import yaml

from rehearse.language import english_forms, korean_forms
from rehearse.language.forms import WordForms
from rehearse.language.grammar import Grammar, grammar

_FORMS = {"en": english_forms.FORMS, "ko": korean_forms.FORMS}

Form = tuple[str, ...]  # a word or phrase as its tokens


def form(text: str) -> Form:
    """The words of a phrase of the data, in lower case."""
    return tuple(str(text).lower().split())


@dataclass(frozen=True)
class Contrast:
    """One set of values that exclude each other, and the words that say each.

    rows: each row says the same with every value in turn (same order as `values`).
    also: further phrases for a value, beyond the rows.
    near: nouns of which one must stand in the sentence; empty when the words always count.
    followed: for a phrase that counts only at the end of its clause, the words that may follow it:
        "push it in and ..." is the opposite of "out", "in the locker" is not.
    named: a saying must name the set when the step does: leaving it out is never fair.
    """

    name: str
    values: tuple[str, ...]
    rows: tuple[tuple[Form, ...], ...]
    also: Mapping[str, tuple[Form, ...]]
    near: frozenset[str]
    named: bool = False
    followed: Mapping[Form, frozenset[str]] = field(default_factory=dict)

    @cached_property
    def phrases(self) -> Mapping[Form, str]:
        """Every phrase of the set with the value it says."""
        found: dict[Form, str] = {}
        for row in self.rows:
            for value, form in zip(self.values, row, strict=True):
                found.setdefault(form, value)
        for value, forms in self.also.items():
            for form in forms:
                found.setdefault(form, value)
        return found

    def counts(self, form: Form, behind: Form) -> bool:
        """Whether the phrase says its value before the words that stand behind it."""
        return not behind or form not in self.followed or behind[0] in self.followed[form]

    def flipped(self, form: Form, value: str) -> tuple[Form, ...]:
        """The phrases that say each other value in the place of `form`."""
        at = self.values.index(value)
        rows = [row for row in self.rows if row[at] == form] or [self.rows[0]]
        return tuple(dict.fromkeys(f for row in rows for i, f in enumerate(row) if i != at))


@dataclass(frozen=True)
class Lexicon:
    """All word data of one language; see `en.yaml` for what each part means."""

    contrasts: tuple[Contrast, ...]
    number_flips: Mapping[int, tuple[int, ...]]
    negations: frozenset[str]
    negation_ends: frozenset[str]
    fillers: tuple[Form, ...]
    hesitations: frozenset[str]
    corrections: tuple[Form, ...]
    apologies: frozenset[str]
    hypotheticals: tuple[Form, ...]
    joints: tuple[Form, ...]
    restarts: tuple[Form, ...]
    undone: tuple[Form, ...]
    undoing: frozenset[str]
    bridges: frozenset[str]
    participles: Mapping[str, str]
    retracting: frozenset[str]
    speech_verbs: frozenset[str]
    own_speakers: frozenset[str]
    other_speakers: frozenset[str]
    numbered: frozenset[str]
    before_doors: frozenset[str]
    door_states: frozenset[str]
    stand_ins: Mapping[str, str]
    crew_stand_ins: Mapping[str, str]
    crafts: frozenset[str]
    determiners: frozenset[str]
    durations: Mapping[Form, int]
    command_small: frozenset[str]
    lead_ins: frozenset[str]
    stop_words: frozenset[str]
    synonyms: Mapping[str, str]
    homophones: Mapping[str, frozenset[int]]
    units: Mapping[Form, str]
    reasons: Mapping[str, str]
    grammar: Grammar
    words: WordForms

    @cached_property
    def openings(self) -> Mapping[str, tuple[Contrast, ...]]:
        """For each word that begins a phrase of some contrast set, those sets, in order."""
        found: dict[str, dict[str, Contrast]] = {}
        for contrast in self.contrasts:
            for phrase in contrast.phrases:
                found.setdefault(phrase[0], {})[contrast.name] = contrast
        return {word: tuple(sets.values()) for word, sets in found.items()}

    def filler_at(self, forms: Form, at: int) -> Form:
        """The filler that begins at this place; empty when none does."""
        return next((f for f in self.fillers if forms[at : at + len(f)] == f), ())

    @cached_property
    def correcting(self) -> tuple[Form, ...]:
        """Every phrase that may correct, a bare "no" last."""
        return (*self.corrections, *((no,) for no in sorted(self.grammar.noes)))

    @cached_property
    def duration_words(self) -> frozenset[str]:
        """Every word that begins a duration."""
        return frozenset(phrase[0] for phrase in self.durations)

    @cached_property
    def contrast_words(self) -> frozenset[str]:
        """Every single word that says a value of some contrast set."""
        return frozenset(
            form[0] for contrast in self.contrasts for form in contrast.phrases if len(form) == 1
        )

    def sound_alike(self, one: str, other: str) -> bool:
        """Whether two words are the same or sound the same."""
        nothing: frozenset[int] = frozenset()
        return one == other or bool(
            self.homophones.get(one, nothing) & self.homophones.get(other, nothing)
        )


def _heads(groups: Sequence[Sequence[str]]) -> dict[str, str]:
    """Every word of every group with the first word of its group; earlier groups win."""
    return {str(word): str(group[0]) for group in reversed(groups) for word in group}


def _homophones(code: str, more: Sequence[Sequence[str]]) -> dict[str, frozenset[int]]:
    """For each word the numbers of the sets of words that sound like it."""
    text = (
        resources.files("rehearse.language").joinpath(f"homophones-{code}.txt").read_text("utf-8")
    )
    lines = [line.split() for line in text.splitlines() if not line.startswith("#")]
    sets: dict[str, set[int]] = {}
    for number, words in enumerate([*lines, *(map(str, group) for group in more)]):
        for word in words:
            sets.setdefault(word, set()).add(number)
    return {word: frozenset(numbers) for word, numbers in sets.items()}


def _contrast(row: Mapping[str, Any]) -> Contrast:
    return Contrast(
        name=row["name"],
        values=tuple(map(str, row["values"])),
        rows=tuple(tuple(form(f) for f in forms) for forms in row["forms"]),
        also={
            str(value): tuple(form(f) for f in forms)
            for value, forms in row.get("also", {}).items()
        },
        near=frozenset(row.get("near", ())),
        followed={
            form(phrase): frozenset(words) for phrase, words in row.get("followed", {}).items()
        },
    )


@lru_cache
def lexicon(code: str) -> Lexicon:
    """The shipped lexicon of the language with this code, longest phrases first in each list."""
    text = resources.files("rehearse.language").joinpath(f"{code}.yaml").read_text("utf-8")
    # BaseLoader makes no objects and reads all as text: "on" and "no" are words here.
    data = yaml.load(text, yaml.BaseLoader)  # noqa: S506

    def forms(key: str) -> tuple[Form, ...]:
        return tuple(sorted(map(form, data[key]), key=len, reverse=True))

    return Lexicon(
        contrasts=tuple(map(_contrast, data["contrasts"])),
        number_flips={int(n): tuple(map(int, to)) for n, to in data["number_flips"].items()},
        negations=frozenset(data["negations"]),
        negation_ends=frozenset(data["negation_ends"]),
        fillers=forms("fillers"),
        hesitations=frozenset(data["hesitations"]),
        corrections=forms("corrections"),
        apologies=frozenset(data["apologies"]),
        hypotheticals=forms("hypotheticals"),
        joints=forms("joints"),
        restarts=forms("restarts"),
        undone=forms("undone"),
        undoing=frozenset(data["undoing"]),
        bridges=frozenset(data["bridges"]),
        participles=dict(data["participles"]),
        retracting=frozenset(data["retracting"]),
        speech_verbs=frozenset(data["speech_verbs"]),
        own_speakers=frozenset(data["own_speakers"]),
        other_speakers=frozenset(data["other_speakers"]),
        numbered=frozenset(data["numbered"]),
        before_doors=frozenset(data["before_doors"]),
        door_states=frozenset(data["door_states"]),
        stand_ins=data["stand_ins"],
        crew_stand_ins=data["crew_stand_ins"],
        crafts=frozenset(data["crafts"]),
        determiners=frozenset(data["determiners"]),
        durations={form(text): int(seconds) for text, seconds in data["durations"].items()},
        command_small=frozenset(data["command_small"]),
        lead_ins=frozenset(data["lead_ins"]),
        stop_words=frozenset(data["stop_words"]),
        synonyms=_heads(data["synonyms"]),
        homophones=_homophones(code, data["homophones"]),
        units={form(name): str(unit[0]) for unit in data["units"] for name in unit},
        reasons=data["reasons"],
        grammar=grammar(code),
        words=_FORMS[code],
    )
