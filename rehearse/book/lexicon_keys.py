"""Every key of a lexicon file, with what it may hold and what it means."""

from __future__ import annotations

from rehearse.book import fields
from rehearse.book.phrases import phrase
from rehearse.book.shape import Entries, One, Own, Rows, Several

_PHRASES = "[open, closed]"

LANGUAGE = One("language", fields.language, "The language it adds to, as en.", required=True)
SYNONYMS = Rows(
    "synonyms", phrase, "Sets of phrases for one thing, the first as procedures have it.", least=2
)
NAME = One("name", fields.identifier, "A name of its own, or a set of the language.", required=True)
VALUES = Several("values", phrase, _PHRASES, "What must never be confused.")
FORMS = Rows("forms", phrase, "Each row says the same with every value in turn.")
ALSO = Own("also", phrase, listed=True, about="More words for a value.")
NEAR = Several("near", phrase, _PHRASES, "Words of which one must stand in the sentence.")
NAMED = One("named", fields.truth, "Whether leaving it out is never a fair paraphrase.")
CONTRAST = (NAME, VALUES, FORMS, ALSO, NEAR, NAMED)
CONTRASTS = Entries("contrasts", CONTRAST, "Sets of values that exclude each other.")
DESIGNATORS = Own(
    "designators", phrase, listed=False, about="What is said, and the door or position it means."
)
UNITS = Rows("units", phrase, "Sets of names of one unit.", least=2)
ABBREVIATIONS = Own(
    "abbreviations", phrase, listed=False, about="Short forms with their full words."
)
LEXICON = (LANGUAGE, SYNONYMS, CONTRASTS, DESIGNATORS, UNITS, ABBREVIATIONS)
