"""The checksum of what a procedure asks: the same for the same content, however it is written."""

from __future__ import annotations

import json
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date
from hashlib import sha256
from typing import Any

from rehearse.book.model import Procedure

# Where a procedure lies, the words by which it is judged, and which procedure of another aircraft
# it is compared with, are no part of what it asks.
_APART = frozenset({"path", "lexicon", "topic"})


def checksum(procedure: Procedure) -> str:
    """SHA-256 over the canonical content, 64 hexadecimal digits.

    Comments, layout, the order of keys and a key that only repeats its default change nothing;
    every text, flag, wording, rule and the revision itself do. A key that a later version adds
    changes nothing where it is not used.
    """
    return sha256(canonical(procedure).encode()).hexdigest()


def canonical(procedure: Procedure) -> str:
    """The content as JSON: keys sorted, no spaces, real characters, defaults left out."""
    return json.dumps(
        _content(procedure), ensure_ascii=False, sort_keys=True, separators=(",", ":")
    )


def _content(value: Any) -> Any:  # noqa: ANN401 - every kind of value that a procedure holds
    if is_dataclass(value) and not isinstance(value, type):
        held = {f.name: (getattr(value, f.name), _default(f)) for f in fields(value)}
        return {
            name: _content(own)
            for name, (own, default) in held.items()
            if name not in _APART and own != default
        }
    if isinstance(value, tuple):
        return [_content(item) for item in value]
    return value.isoformat() if isinstance(value, date) else value


def _default(field: Field[Any]) -> Any:  # noqa: ANN401 - as above
    if field.default_factory is not MISSING:
        return field.default_factory()
    return field.default
