"""An operator's own words: the `lexicon.yaml` beside the procedures, read strictly."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeVar

from rehearse.book import fields
from rehearse.book import lexicon_keys as known
from rehearse.book.beside import LEXICON
from rehearse.book.faults import Faults, Mark, shown
from rehearse.book.fields import Placed
from rehearse.book.keys import read_keys
from rehearse.book.lexicon_check import check
from rehearse.book.nodes import Items, Keys, Node, Refused, Scalar, read_tree
from rehearse.book.phrases import phrase
from rehearse.book.shape import One, Several, names, required
from rehearse.language import load
from rehearse.language.additions import NONE, Additions
from rehearse.language.lexicon import Contrast, Form, form

NAME = LEXICON

T = TypeVar("T")


@dataclass(frozen=True)
class LocatedLexicon:
    """What a lexicon file adds, for which language."""

    language: str
    additions: Additions


def beside(path: Path, language: str) -> Additions:
    """What the lexicon in the folder of a procedure file adds to this language; often nothing.

    Raises:
        BookError: the file has faults.
    """
    file = path.parent / NAME
    if not file.exists():
        return NONE
    found = read_lexicon(file)
    return found.additions if found.language == language else NONE


def read_lexicon(path: Path) -> LocatedLexicon:
    """The lexicon in the file.

    Raises:
        BookError: the file cannot be read or has faults; `problems` holds all of them.
    """
    faults = Faults(path)
    _, node = read_tree(path, faults)
    top = read_keys(node, "", names(known.LEXICON), required(known.LEXICON), faults)
    language = _one(top, "", known.LANGUAGE, faults)
    sets = partial(_listed, top, faults=faults)
    synonyms = sets("synonyms", _set)
    units = sets("units", _set)
    contrasts = sets("contrasts", _contrast)
    designators = _pairs(top.get("designators"), "designators", faults)
    abbreviations = _pairs(top.get("abbreviations"), "abbreviations", faults)
    if not faults and language is not None:
        tongue = load(language.value)
        check(synonyms, contrasts, designators, abbreviations, faults, language=tongue)
    if faults or language is None:
        raise faults.error()
    additions = Additions(
        synonyms=_texts(synonyms),
        contrasts=tuple(placed.value for placed in contrasts),
        designators=tuple((key.value, value.value) for key, value in designators),
        units=_texts(units),
        abbreviations=tuple((key.value, value.value) for key, value in abbreviations),
    )
    return LocatedLexicon(language.value, additions)


def _texts(sets: Iterable[Placed[tuple[Placed[str], ...]]]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(phrase.value for phrase in placed.value) for placed in sets)


def _listed(
    top: Mapping[str, Node],
    key: str,
    one: Callable[[Node, str, Faults], Placed[T] | None],
    *,
    faults: Faults,
) -> tuple[Placed[T], ...]:
    if key not in top:
        return ()
    return fields.several(top[key], key, one, "- [pane, window]", faults)


def _set(node: Node, field: str, faults: Faults) -> Placed[tuple[Placed[str], ...]] | None:
    """Words or phrases for one thing, the first naming it."""
    found = fields.several(node, field, phrase, "[pane, window]", faults)
    seen: set[Form] = set()
    for number, placed in enumerate(found, start=1):
        if form(placed.value) in seen:
            fault = f"{shown(placed.value)} stands here a second time"
            faults.add(placed.mark, f"{field}[{number}]", fault, "take it out")
        seen.add(form(placed.value))
    if isinstance(node, Items) and len(node.items) < 2:
        mend = "write at least two, the first as the procedures have it"
        faults.add(node.mark, field, "a set of fewer than two says nothing", mend)
    return Placed(found, node.mark) if found else None


def _pairs(
    node: Node | None, field: str, faults: Faults
) -> tuple[tuple[Placed[str], Placed[str]], ...]:
    """What is said, each with what it stands for."""
    if node is None or isinstance(node, Refused):
        return ()
    if not isinstance(node, Keys):
        mend = "write 'what is said: what it stands for', one a line"
        faults.add(node.mark, field, "there are no keys here", mend)
        return ()
    found: list[tuple[Placed[str], Placed[str]]] = []
    seen: dict[str, Mark] = {}
    for key, value in node.entries:
        place = f"{field}.{shown(key.text).strip(chr(39))}"
        if key.text in seen:
            fault = f"the key stands here a second time, first in line {seen[key.text].line}"
            faults.add(key.mark, place, fault, "keep one of the two")
            continue
        seen[key.text] = key.mark
        said, meant = phrase(_as_text(key), place, faults), phrase(value, place, faults)
        if said is not None and meant is not None:
            found.append((said, meant))
    return tuple(found)


def _as_text(key: Scalar) -> Scalar:
    """A key is text, whatever YAML takes it for."""
    return Scalar(key.text, "text", key.mark)


def _contrast(node: Node, field: str, faults: Faults) -> Placed[Contrast] | None:
    """One set of values that exclude each other."""
    keys = read_keys(node, field, names(known.CONTRAST), required(known.CONTRAST), faults)
    name = _one(keys, f"{field}.", known.NAME, faults)
    values = _phrases(keys, field, known.VALUES, faults)
    rows: tuple[Placed[tuple[Form, ...]], ...] = ()
    if "forms" in keys:
        rows = fields.several(keys["forms"], f"{field}.forms", _row, "[[open, closed]]", faults)
    also = _also(keys.get("also"), f"{field}.also", faults)
    near = _phrases(keys, field, known.NEAR, faults)
    named = _one(keys, f"{field}.", known.NAMED, faults)
    if name is None:
        return None
    return Placed(
        Contrast(
            name.value,
            values,
            tuple(row.value for row in rows),
            also,
            frozenset(word.lower() for word in near),
            named=named is not None and named.value,
        ),
        node.mark,
    )


def _one(keys: Mapping[str, Node], prefix: str, key: One[T], faults: Faults) -> Placed[T] | None:
    return key.check(keys[key.name], prefix + key.name, faults) if key.name in keys else None


def _phrases(
    keys: Mapping[str, Node], field: str, key: Several[str], faults: Faults
) -> tuple[str, ...]:
    if key.name not in keys:
        return ()
    place = f"{field}.{key.name}"
    found = fields.several(keys[key.name], place, key.check, key.example, faults)
    return tuple(placed.value for placed in found)


def _row(node: Node, field: str, faults: Faults) -> Placed[tuple[Form, ...]] | None:
    found = fields.several(node, field, phrase, "[open, closed]", faults)
    return Placed(tuple(form(placed.value) for placed in found), node.mark)


def _also(node: Node | None, field: str, faults: Faults) -> dict[str, tuple[Form, ...]]:
    if node is None or isinstance(node, Refused):
        return {}
    if not isinstance(node, Keys):
        mend = "write 'value: [more words for it]'"
        faults.add(node.mark, field, "there are no keys here", mend)
        return {}
    found: dict[str, tuple[Form, ...]] = {}
    for key, value in node.entries:
        place = f"{field}.{shown(key.text).strip(chr(39))}"
        if key.text in found:
            faults.add(key.mark, place, "the key stands here a second time", "keep one of the two")
        words = fields.several(value, place, phrase, "[shut]", faults)
        found[key.text] = tuple(form(placed.value) for placed in words)
    return found
