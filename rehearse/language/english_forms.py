"""English words brought down to their base and to their sound, and numbers to words."""

from __future__ import annotations

import re
from functools import lru_cache

import simplemma

from rehearse.language.english_numbers import UNITS, spelt
from rehearse.language.forms import WordForms

_UNVOICED = str.maketrans("bdgvz", "ptkfs")  # "lead" and "lit" differ by their voice alone
_VOWELS = re.compile(r"[aeiouyhw]+")


@lru_cache(maxsize=20_000)
def lemma(form: str) -> str:
    """The dictionary form of a lower-case word; "lit" stays apart from the light that is lit."""
    return form if form == "lit" else str(simplemma.lemmatize(form, lang="en")).lower()


def gerund_of(form: str) -> frozenset[str]:
    """The verbs that a word in "-ing" may come from ("turning", "raising", "shutting")."""
    if not form.endswith("ing"):
        return frozenset()
    return frozenset({form[:-3], f"{form[:-3]}e", form[:-4]})


def may_be_participle(form: str) -> bool:
    """Whether it is an inflected form, and no plural or third person."""
    return lemma(form) != form and not form.endswith("s")


def skeleton(word: str) -> str:
    """The consonants that are heard, in a rough common spelling ("seal" and "sill": "sl")."""
    text = word.replace("ph", "f").replace("ck", "k")
    text = re.sub(r"c(?=[eiy])", "s", text).replace("c", "k")
    text = _VOWELS.sub("", text)
    return re.sub(r"(.)\1+", r"\1", text) or word


def muffled(skeleton: str) -> str:
    """The consonants without their voice."""
    return skeleton.translate(_UNVOICED)


def slurred(skeleton: str) -> str:
    """The consonants without their voice, m as n, and no r but the first letter."""
    text = skeleton[:1] + skeleton[1:].replace("r", "")
    return re.sub(r"(.)\1+", r"\1", muffled(text).replace("m", "n"))


FORMS = WordForms(
    lemma, spelt, frozenset(UNITS), gerund_of, may_be_participle, skeleton, muffled, slurred
)
