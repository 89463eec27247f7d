"""The names of the files that lie beside procedures and are no procedures themselves."""

from __future__ import annotations

AIRCRAFT = "aircraft.yaml"  # the register of the aircraft's doors, stations and equipment
DECISIONS = "decisions.yaml"  # advice that was weighed and left as it is
LEXICON = "lexicon.yaml"  # the operator's own words
SEALED = "sealed.yaml"  # the checksums of sealed revisions

BESIDE = frozenset({AIRCRAFT, DECISIONS, LEXICON, SEALED})
