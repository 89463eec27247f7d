"""Whether an operator's words fit each other and the language they are added to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.fields import Placed
from rehearse.language import Language
from rehearse.language.lexicon import Contrast, Form, form

Sets = Sequence[Placed[tuple[Placed[str], ...]]]
Pairs = Sequence[tuple[Placed[str], Placed[str]]]


def check(
    synonyms: Sets,
    contrasts: Sequence[Placed[Contrast]],
    designators: Pairs,
    abbreviations: Pairs,
    faults: Faults,
    *,
    language: Language,
) -> None:
    """Tell every fault between entries; each entry by itself is known to be sound."""
    _once(synonyms, designators, abbreviations, faults)
    for number, placed in enumerate(contrasts, start=1):
        _contrast(placed, f"contrasts[{number}]", contrasts[: number - 1], language, faults)
    for number, synonym in enumerate(synonyms, start=1):
        _no_opposites(synonym.value, f"synonyms[{number}]", contrasts, language, faults)
        for at, phrase in enumerate(synonym.value, start=1):
            _carries(phrase, f"synonyms[{number}][{at}]", language, faults)
    for said, meant in designators:
        field = f"designators.{said.value}"
        _carries(said, field, language, faults)
        kinds = [token.kind for token in language.tokens(meant.value.split())]
        if kinds not in (["door"], ["position"]):
            fault = f"{shown(meant.value)} is neither a door nor a crew position"
            faults.add(meant.mark, field, fault, "write a door as 2L, or a position as C4")
    for said, _ in abbreviations:
        _carries(said, f"abbreviations.{said.value}", language, faults)


def _once(synonyms: Sets, designators: Pairs, abbreviations: Pairs, faults: Faults) -> None:
    """A phrase is read as one thing only."""
    first: dict[Form, Mark] = {}
    for field, phrase in _said(synonyms, designators, abbreviations):
        key = form(phrase.value)
        if key in first:
            fault = f"{shown(phrase.value)} is given a meaning already in line {first[key].line}"
            faults.add(phrase.mark, field, fault, "keep it in one place")
        first.setdefault(key, phrase.mark)


def _said(
    synonyms: Sets, designators: Pairs, abbreviations: Pairs
) -> Iterator[tuple[str, Placed[str]]]:
    for number, synonym in enumerate(synonyms, start=1):
        for at, phrase in enumerate(synonym.value, start=1):
            yield f"synonyms[{number}][{at}]", phrase
    for name, pairs in (("designators", designators), ("abbreviations", abbreviations)):
        for said, _ in pairs:
            yield f"{name}.{said.value}", said


def _carries(phrase: Placed[str], field: str, language: Language, faults: Faults) -> None:
    """A small word, a "not" or a number must keep the meaning it has."""
    tokens = language.tokens(phrase.value.split())
    small = language.lexicon.stop_words | language.lexicon.negations
    if len(tokens) == 1 and (tokens[0].kind == "number" or tokens[0].form in small):
        fault = f"{shown(phrase.value)} has a meaning of its own in every sentence"
        faults.add(phrase.mark, field, fault, "write a longer phrase")


def _no_opposites(
    synonym: Sequence[Placed[str]],
    field: str,
    contrasts: Sequence[Placed[Contrast]],
    language: Language,
    faults: Faults,
) -> None:
    """Words that exclude each other cannot mean the same."""
    known = [*language.lexicon.contrasts, *(placed.value for placed in contrasts)]
    for contrast in known:
        said = {p.value: contrast.phrases.get(form(p.value)) for p in synonym}
        values = {value for value in said.values() if value is not None}
        if len(values) > 1:
            fault = f"it holds opposites ({' and '.join(sorted(values))})"
            mend = "take one of them out: the judge must keep them apart"
            faults.add(synonym[0].mark, field, fault, mend)


def _contrast(
    placed: Placed[Contrast],
    field: str,
    before: Sequence[Placed[Contrast]],
    language: Language,
    faults: Faults,
) -> None:
    contrast, mark = placed.value, placed.mark
    own = next((c for c in language.lexicon.contrasts if c.name == contrast.name), None)
    if any(other.value.name == contrast.name for other in before):
        faults.add(mark, f"{field}.name", "the set is listed a second time", "join the two")
        return
    if own is None and (len(contrast.values) < 2 or not contrast.rows):
        close = nearest(contrast.name, (c.name for c in language.lexicon.contrasts))
        mend = "add 'values: [...]' and 'forms: [[...]]'"
        mend += f", or write '{close}' to add to that set" if close else ""
        faults.add(mark, field, "a set of your own needs at least two values and a form", mend)
        return
    values = contrast.values if own is None else own.values
    if contrast.values and contrast.values != values:
        mend = f"leave 'values' out, or write [{', '.join(values)}]"
        faults.add(mark, f"{field}.values", f"the set '{contrast.name}' has other values", mend)
        return
    for number, row in enumerate(contrast.rows, start=1):
        if len(row) != len(values):
            fault = f"the form has {len(row)} words where the set has {len(values)} values"
            mend = f"write one for each of {', '.join(values)}"
            faults.add(mark, f"{field}.forms[{number}]", fault, mend)
            return
    for value in contrast.also:
        if value not in values:
            close = nearest(value, values)
            mend = f"write '{close}'" if close else f"write one of {', '.join(values)}"
            faults.add(mark, f"{field}.also", f"{shown(value)} is no value of the set", mend)
            return
    fault = _told_apart(contrast, own, values, language)
    if fault:
        faults.add(mark, field, fault, "use words that say one value and sound different")


def _told_apart(
    contrast: Contrast, own: Contrast | None, values: Sequence[str], language: Language
) -> str:
    """Why two values of the set cannot be told apart by their words or sound; "" when they can."""
    phrases = [*own.phrases.items()] if own else []
    phrases += [(f, v) for row in contrast.rows for v, f in zip(values, row, strict=True)]
    phrases += [(f, v) for v, forms in contrast.also.items() for f in forms]
    for (one, value), (two, other) in combinations(phrases, 2):
        if value == other:
            continue
        words = " ".join(one)
        if one == two:
            return f"{shown(words)} is said for both {value} and {other}"
        if len(one) == len(two) == 1 and language.lexicon.sound_alike(one[0], two[0]):
            return f"{shown(words)} and {shown(two[0])} sound the same"
    return ""
