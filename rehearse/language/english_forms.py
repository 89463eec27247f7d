"""English words brought down to their base, and numbers to words."""

from __future__ import annotations

from functools import lru_cache

import simplemma

from rehearse.language.english_numbers import UNITS, spelt
from rehearse.language.forms import WordForms


@lru_cache(maxsize=20_000)
def lemma(form: str) -> str:
    """The dictionary form of a lower-case word; "lit" stays apart from the light that is lit."""
    return form if form == "lit" else str(simplemma.lemmatize(form, lang="en")).lower()


FORMS = WordForms(lemma, spelt, frozenset(UNITS))
