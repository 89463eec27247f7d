"""What a language needs to be heard and judged: words, numbers, contrasts, spellings.

Nothing outside this folder assumes a language. `load("en")` gives English; its words, contrast
sets and synonyms are data (`en.yaml`), which an operator can add to.
"""

from __future__ import annotations

from functools import lru_cache

from rehearse.errors import RehearseError
from rehearse.language.protocol import Flip, Language

__all__ = ["CODES", "Flip", "Language", "load"]

CODES = ("en", "ko")  # of the languages that are built in


@lru_cache
def load(code: str) -> Language:
    """The language with this ISO 639-1 code.

    Raises:
        RehearseError: no such language is built in.
    """
    if code == "en":
        from rehearse.language.english import English

        return English()
    if code == "ko":
        from rehearse.language.korean import Korean

        return Korean()
    known = "' or 'language: ".join(CODES)
    raise RehearseError(
        f"language '{code}' is not known; write 'language: {known}' in the procedure"
    )
