"""JSON Schemas for editors, made from the tables of keys that the readers go by."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from rehearse.book import decisions, fields, sealed
from rehearse.book.lexicon_keys import LEXICON
from rehearse.book.phrases import MOST_WORDS, phrase
from rehearse.book.procedure_keys import PROCEDURE
from rehearse.book.shape import Described, Entries, Entry, Key, One, Own, Rows, Several
from rehearse.book.warnings import WARNINGS

Schema = dict[str, Any]

# The files that have one: what each is called, and its keys.
KINDS: dict[str, tuple[Key, ...]] = {
    "procedure": PROCEDURE,
    "lexicon": LEXICON,
    "decisions": decisions.FILE,
    "sealed": sealed.FILE,
}


def schema(kind: str) -> Schema:
    """The schema of one kind of file (a key of `KINDS`), as JSON-ready values.

    It says what keys and kinds of values there may be. What the reader also checks (that steps
    fit each other, that a phrase stands in its sentence) no schema can say; `book lint` does.
    """
    return schema_of(kind, KINDS[kind])


def schema_of(kind: str, keys: Sequence[Key]) -> Schema:
    """The schema of a file with these keys."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"rehearse: {kind}",
        **_entry(keys),
    }


def _entry(keys: Sequence[Key]) -> Schema:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": [key.name for key in keys if key.required],
        "properties": {key.name: {"description": key.about, **_value(key)} for key in keys},
    }


def _value(key: Key) -> Schema:
    if isinstance(key, One):
        return fragment(key.check)
    if isinstance(key, Several):
        return _list(fragment(key.check), key.least)
    if isinstance(key, Rows):
        return _list(_list(fragment(key.check), key.least))
    if isinstance(key, Entry):
        return _entry(key.keys)
    if isinstance(key, Entries):
        return _list(_entry(key.keys), key.least, key.most)
    return _own(key)


def _own(key: Own[Any]) -> Schema:
    value = fragment(key.check)
    return {
        "type": "object",
        "additionalProperties": _list(value, key.least) if key.listed else value,
    }


def _list(items: Schema, least: int = 0, most: int = fields.MAX_LISTED) -> Schema:
    return {"type": "array", "items": items, "maxItems": most} | (
        {"minItems": least} if least else {}
    )


def fragment(check: Callable[..., Any] | Described) -> Schema:
    """What a value must be that passes this check. Raises KeyError for a check not known here."""
    if isinstance(check, Described):
        return dict(check.schema)
    return dict(_FRAGMENTS[check])


def _words(most: int) -> str:
    return rf"^\s*\S+(\s+\S+){{0,{most - 1}}}\s*$"


# An id may be written as YAML writes a number or a truth (12, no).
_ID: Schema = {
    "type": ["string", "integer", "boolean"],
    "pattern": f"^{fields.ID.pattern}$",
    "maxLength": fields.MAX_ID,
    "minimum": 0,
}
_TEXT: Schema = {"type": "string", "pattern": r"\S", "maxLength": fields.MAX_CHARACTERS}
_SENTENCE: Schema = {**_TEXT, "pattern": _words(fields.MAX_WORDS)}

_FRAGMENTS: dict[Callable[..., Any], Schema] = {
    fields.identifier: _ID,
    fields.label: _TEXT,
    fields.title: _SENTENCE,
    fields.sentence: _SENTENCE,
    fields.language: {**_ID, "type": "string"},
    fields.position: {"type": "string", "pattern": f"^{fields.POSITION.pattern}$"},
    fields.whole_number: {"type": "integer", "minimum": 0, "maximum": 999_999_999},
    fields.fraction: {"type": "number", "minimum": 0, "maximum": 1},
    fields.seconds: {"type": "number", "exclusiveMinimum": 0, "maximum": fields.MAX_SECONDS},
    fields.day: {"type": "string", "format": "date", "pattern": f"^{fields.DAY.pattern}$"},
    fields.truth: {"type": "boolean"},
    phrase: {**_TEXT, "pattern": _words(MOST_WORDS)},
    decisions.warning_code: {"enum": sorted(WARNINGS)},
    sealed.seal_sum: {"type": "string", "pattern": f"^{sealed.SUM.pattern}$"},
}
