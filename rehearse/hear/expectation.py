"""What a procedure leads the recogniser to expect: its wordings and their dangerous contrasts."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.book.model import Procedure
from rehearse.hear.recogniser import Expectation
from rehearse.language import Language


def expect(procedure: Procedure, language: Language, requests: Sequence[str] = ()) -> Expectation:
    """The bias for a procedure; it always holds both sides of every contrast.

    requests: phrases the trainee may say to the tool itself.
    """
    wordings = [wording for step in procedure.steps for wording in step.wordings]
    forbidden = [never for step in procedure.steps for never in step.never]
    opposites = [contrast for wording in wordings for contrast in language.contrasts(wording)]
    said = tuple(dict.fromkeys((*wordings, *requests)))
    contrasts = dict.fromkeys((*forbidden, *opposites))
    return Expectation(procedure.language, said, tuple(c for c in contrasts if c not in said))
