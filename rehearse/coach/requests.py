"""What a trainee may ask for aloud, and how it is told from the procedure's own words.

Conservative on purpose: a request counts only when the whole utterance is one of the listed
phrases, and never when the procedure itself contains those words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from rehearse.book.model import Procedure
from rehearse.coach.phrasebook import RequestWords, phrasebook
from rehearse.events import Heard

Words = tuple[str, ...]

# Least mean support of a request, nats a token. Four natural voices saying nine short requests
# (clean, at 10 and 5 dB): of 49 that were read as requests three had less, -1.04 to -0.45, all of
# them garbles mended into one; the others had 0.89 or more.
BORNE_OUT = 0.5


class Request(StrEnum):
    """One thing a trainee may ask for. The values are the families of `phrases/en.yaml`."""

    HINT = "hint"
    AGAIN = "again"
    SKIP = "skip"
    OVER = "over"
    STOP = "stop"
    DONE = "done"
    PROGRESS = "progress"
    HELP = "help"


def _words(text: str, spoken: RequestWords) -> Words:
    """Lower-case words without punctuation; contractions written out."""
    found = re.findall(r"[^\W_]+(?:'[^\W_]+)*", text.lower().replace("’", "'"))
    return tuple(" ".join(spoken.written_out.get(word, word) for word in found).split())


@dataclass(frozen=True)
class _Family:
    request: Request
    phrases: tuple[Words, ...]


@lru_cache
def _families(language: str) -> tuple[_Family, ...]:
    spoken = phrasebook(language).requests
    return tuple(
        _Family(asked, tuple(_words(phrase, spoken) for phrase in spoken.families[asked]))
        for asked in Request
    )


def request(text: str, wordings: Iterable[str] = (), language: str = "en") -> Request | None:
    """The request that this utterance is, or None when it is anything else.

    wordings: everything the procedure may have said (`wordings_of`). An utterance whose
        request words stand in one of them, in the same sequence, is never a request: "Stop!"
        may be the first half of a shouted command.
    """
    spoken = phrasebook(language).requests
    cores = list(_cores(_words(text, spoken), spoken))
    for family in _families(language):
        for core in cores:
            if core in family.phrases:
                return None if _within_any(core, wordings, spoken) else family.request
    return None


def requested(heard: Heard, wordings: Iterable[str] = (), language: str = "en") -> Request | None:
    """The request that was heard, or None; what the sound does not bear out is never obeyed."""
    if heard.support is not None and heard.support < BORNE_OUT:
        return None
    return request(heard.text, wordings, language)


def _cores(said: Words, spoken: RequestWords) -> Iterable[Words]:
    """The utterance without fillers and with its politeness peeled off, longest first."""
    fillers, before, after = (
        [_words(text, spoken) for text in texts]
        for texts in (spoken.fillers, spoken.before, spoken.after)
    )
    said = _without_fillers(said, fillers)
    befores = [(), *(lead for lead in before if said[: len(lead)] == lead)]
    afters = [(), *(tail for tail in after if said[-len(tail) :] == tail)]
    for lead in sorted(befores, key=len):
        for tail in sorted(afters, key=len):
            core = said[len(lead) : len(said) - len(tail)]
            if core and len(lead) + len(tail) < len(said):
                yield core


def _without_fillers(said: Words, fillers: Sequence[Words]) -> Words:
    """The words without the fillers at either end; those inside stay and spoil the match."""
    peeled = True
    while peeled:
        peeled = False
        for filler in fillers:
            if said[: len(filler)] == filler:
                said, peeled = said[len(filler) :], True
            if said and said[-len(filler) :] == filler:
                said, peeled = said[: -len(filler)], True
    return said


def _within_any(core: Words, wordings: Iterable[str], spoken: RequestWords) -> bool:
    """Whether the words stand in one of the wordings, next to each other and in order."""
    for wording in wordings:
        words = _words(wording, spoken)
        if any(words[at : at + len(core)] == core for at in range(len(words) - len(core) + 1)):
            return True
    return False


def wordings_of(procedure: Procedure) -> tuple[str, ...]:
    """Everything the procedure's steps may be said as, and what must not be said for them."""
    return tuple(wording for step in procedure.steps for wording in (*step.wordings, *step.never))


def phrases(language: str = "en") -> tuple[str, ...]:
    """Every listed request phrase, for the recogniser to expect."""
    families = phrasebook(language).requests.families
    return tuple(phrase for request in Request for phrase in families[request])


def teachable(procedure: Procedure) -> tuple[str, ...]:
    """For each request the first phrase that this procedure does not contain itself."""
    wordings = wordings_of(procedure)
    spoken = phrasebook(procedure.language).requests

    def contained(phrase: str) -> bool:
        return _within_any(_words(phrase, spoken), wordings, spoken)

    taught = (
        next((phrase for phrase in spoken.families[asked] if not contained(phrase)), "")
        for asked in Request
        if asked is not Request.HELP
    )
    return tuple(phrase for phrase in taught if phrase)
