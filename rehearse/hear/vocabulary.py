"""The tokens of a Whisper model: its vocabulary, mended, and what a language never writes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import tokenizers

_FIRST_MERGE = "Ġ t"
_FIRST_SPECIAL = 50257
_LATIN = frozenset(("de", "en", "es", "fr", "it", "nl", "pt"))
_MARKS = "’‘“”–—…\u20ac"
_FRACTIONS = "¼½¾×²³"


def vocabulary(path: Path) -> tokenizers.Tokenizer:
    """The model's tokenizer, with the merge that its published file lacks.

    The first of the 50,000 merges (a space and a "t") was lost when the file was converted. Without
    it every " the", " to", " two" or " three" is encoded in a way the model has never seen, and
    its probability comes out as zero.
    """
    table = json.loads(path.read_text("utf-8"))
    merges = table["model"]["merges"]
    first = _FIRST_MERGE if isinstance(merges[0], str) else _FIRST_MERGE.split()
    if merges[0] != first:
        merges.insert(0, first)
    return tokenizers.Tokenizer.from_str(json.dumps(table))


def other_script(known: tokenizers.Tokenizer, language: str) -> list[int]:
    """Tokens a strong accent or noise may lead to, which the language is not written with."""
    if language not in _LATIN:
        return []
    foreign = re.compile(f"[{_FRACTIONS}]|[^\\u0000-\\u017f{_MARKS}]")
    return [at for at in range(_FIRST_SPECIAL) if foreign.search(known.decode([at]))]
