"""What lies beside procedures and is no procedure itself."""

from __future__ import annotations

AIRCRAFT = "aircraft.yaml"  # the register of the aircraft's doors, stations and equipment
DECISIONS = "decisions.yaml"  # advice that was weighed and left as it is
LEXICON = "lexicon.yaml"  # the operator's own words
SEALED = "sealed.yaml"  # the checksums of sealed revisions
DRILLS = "drills"  # the folder of the command drills

BESIDE = frozenset({AIRCRAFT, DECISIONS, LEXICON, SEALED})
