"""A procedure made ready for judging: tokens, slots and key terms of every wording, once."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.book.model import Procedure, Step
from rehearse.judge.slots import Slot, slots
from rehearse.judge.terms import Terms, rarities, terms_of
from rehearse.language.english import English
from rehearse.language.token import Token


@dataclass(frozen=True)
class Wording:
    """One accepted (or forbidden) sentence, taken apart."""

    text: str
    tokens: tuple[Token, ...]
    slots: tuple[Slot, ...]
    terms: Terms


@dataclass(frozen=True)
class PreparedStep:
    """A step with its wordings taken apart; the canonical one comes first."""

    step: Step
    wordings: tuple[Wording, ...]
    never: tuple[Wording, ...]

    @property
    def canonical(self) -> Wording:
        """The step's own sentence."""
        return self.wordings[0]


@dataclass(frozen=True)
class Prepared:
    """The procedure, its steps made ready, and the words that are right as they stand."""

    procedure: Procedure
    steps: tuple[PreparedStep, ...]
    known: frozenset[str]


def prepare(procedure: Procedure, language: English) -> Prepared:
    """The procedure made ready."""
    rarity = rarities((step.wordings for step in procedure.steps), language)

    def wording(text: str) -> Wording:
        tokens = language.tokens(text.split())
        return Wording(
            text, tokens, slots(tokens, language.lexicon), terms_of(text, rarity, language)
        )

    steps = tuple(
        PreparedStep(step, tuple(map(wording, step.wordings)), tuple(map(wording, step.never)))
        for step in procedure.steps
    )
    own = {t.form for s in steps for w in (*s.wordings, *s.never) for t in w.tokens}
    lexical = {
        form
        for contrast in language.lexicon.contrasts
        for phrase in contrast.phrases
        for form in phrase
    }
    synonyms = set(language.lexicon.synonyms)
    known = own | lexical | synonyms | language.lexicon.stop_words | language.lexicon.negations
    return Prepared(procedure, steps, frozenset(known))
