"""A procedure made ready for judging: tokens, slots and key terms of every wording, once."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from rehearse.book.model import Procedure, Step
from rehearse.judge.slots import Slot, slots
from rehearse.judge.terms import Terms, rarities, terms_of
from rehearse.language import Language
from rehearse.language.lexicon import form
from rehearse.language.token import Token


@dataclass(frozen=True)
class Wording:
    """One accepted (or forbidden) sentence, taken apart.

    canonical: it is the step's own sentence, as it stands or without what may be left out.
    """

    text: str
    tokens: tuple[Token, ...]
    slots: tuple[Slot, ...]
    terms: Terms
    canonical: bool = False


@dataclass(frozen=True)
class PreparedStep:
    """A step with its wordings taken apart; the canonical one comes first.

    named: what its author says must be named, beyond what the words themselves ask for.
    """

    step: Step
    wordings: tuple[Wording, ...]
    never: tuple[Wording, ...]
    named: tuple[Wording, ...] = ()

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


def prepare(procedure: Procedure, language: Language) -> Prepared:
    """The procedure made ready."""
    rarity = rarities((step.wordings for step in procedure.steps), language)

    def wording(text: str, spare: Collection[tuple[str, str]] = ()) -> Wording:
        tokens = language.tokens(text.split())
        found = (
            replace(slot, named=False) if (slot.name, slot.value) in spare else slot
            for slot in slots(tokens, language.lexicon)
        )
        return Wording(text, tokens, tuple(found), terms_of(text, rarity, language))

    def prepared(step: Step) -> PreparedStep:
        demands = step.demands
        spare = {(s.name, s.value) for text in demands.spare for s in wording(text).slots}
        own = [wording(text, spare) for text in dict.fromkeys((step.say, without_spare(step)))]
        also = [wording(text, spare) for text in step.also]
        return PreparedStep(
            step,
            (*(replace(w, canonical=True) for w in own), *also),
            tuple(map(wording, step.never)),
            tuple(map(wording, demands.named)),
        )

    steps = tuple(map(prepared, procedure.steps))
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


def without_spare(step: Step) -> str:
    """The step's sentence without the phrases that its author says may be left out."""
    words = step.say.split()
    plain = [form(word.strip(PUNCTUATION)) for word in words]
    for phrase in step.demands.spare:
        wanted = [form(word.strip(PUNCTUATION)) for word in phrase.split()]
        for at in range(len(plain) - len(wanted) + 1):
            if plain[at : at + len(wanted)] == wanted:
                del words[at : at + len(wanted)], plain[at : at + len(wanted)]
                break
    return " ".join(words)


PUNCTUATION = ".,;:!?"
