"""A reader that goes by words alone, for languages that no step judge reads.

It credits what holds all key terms and slots of a wording and nothing of weight besides; less than
that is left open or told as incomplete, and a denial, a question or another value is never credit.
The probabilities only say on which side of the thresholds a saying falls.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from rehearse.judge.meaning import Readers
from rehearse.judge.slots import Slot, compare, slots
from rehearse.judge.terms import Terms, found, term, terms_of
from rehearse.language import Language
from rehearse.language.token import Token

ABOUT = 0.5  # least share of the key terms at which a saying is about the wording at all
MOSTLY = 0.8  # share from which a step that is not critical is credited
MORE = 3  # other words of weight that a saying may hold before it is in doubt
ORDERED = frozenset({"when", "rank"})  # sets whose sentence says something else when turned round

# said, incomplete, wrong, not said
_Row = tuple[float, float, float, float]
_WHOLE: _Row = (0.97, 0.01, 0.01, 0.01)
_MOSTLY: _Row = (0.55, 0.41, 0.02, 0.02)  # enough for a step that is not critical
_DOUBTFUL: _Row = (0.4, 0.2, 0.2, 0.2)
_INCOMPLETE: _Row = (0.02, 0.94, 0.02, 0.02)
_WRONG: _Row = (0.01, 0.02, 0.95, 0.02)
_NOT_SAID: _Row = (0.01, 0.01, 0.01, 0.97)


def by_words(language: Language) -> Readers:
    """Both readers of a language that is judged by its words."""
    reader = ByWords(language)
    return Readers(reader, reader)


class ByWords:
    """A reader of `rehearse.judge.meaning.Meaning` without a model."""

    def __init__(self, language: Language) -> None:
        self._language = language
        self._taken_apart = lru_cache(maxsize=5_000)(self._wording)

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """As `Meaning` asks."""
        return np.array([self._row(*pair) for pair in pairs], np.float32).reshape(-1, 4)

    def _wording(self, text: str) -> tuple[tuple[Token, ...], tuple[Slot, ...], Terms]:
        tokens = self._language.tokens(text.split())
        return tokens, slots(tokens, self._language.lexicon), terms_of(text, {}, self._language)

    def _row(self, wording: str, text: str) -> _Row:
        language = self._language
        tokens, wanted, terms = self._taken_apart(wording)
        said = language.tokens(text.split())
        hit = found(terms, said, language)
        share = len(hit) / len(terms.weights) if terms.weights else 0.0
        if share < ABOUT or not language.claims(text.split()):
            return _NOT_SAID
        agreement = compare(wanted, slots(said, language.lexicon))
        if agreement.contradicted or self._denials(tokens) != self._denials(said):
            return _WRONG
        if agreement.missing or share < MOSTLY:
            return _INCOMPLETE
        if agreement.mixed or self._more(terms, said) > MORE:
            return _DOUBTFUL
        if self._ordered(wanted) and not self._same_order(tokens, said, terms):
            return _DOUBTFUL
        return _WHOLE if share == 1 and not self._more(terms, said) else _MOSTLY

    def _denials(self, tokens: Sequence[Token]) -> list[str]:
        """What is denied, each word once for every denial of it."""
        negations = self._language.lexicon.negations
        denied = [str(term(t, self._language)) for t in tokens if t.negated]
        return sorted([*denied, *("-" for t in tokens if t.form in negations)])

    def _more(self, terms: Terms, said: Sequence[Token]) -> int:
        """Words of weight that the wording does not have; fillers weigh nothing."""
        fillers = self._language.lexicon.fillers
        names = {term(t, self._language) for t in said if (t.form,) not in fillers}
        return len(names - terms.weights.keys() - {None})

    @staticmethod
    def _ordered(wanted: Sequence[Slot]) -> bool:
        """Whether the sequence of the words decides what they say."""
        values = {(slot.name, slot.value) for slot in wanted}
        names = [name for name, _ in values]
        return len(names) > len(set(names)) or not ORDERED.isdisjoint(names)

    def _same_order(self, tokens: Sequence[Token], said: Sequence[Token], terms: Terms) -> bool:
        """Whether the wording's key terms were said in its order."""
        wanted = [name for t in tokens if (name := term(t, self._language)) in terms.weights]
        got = [name for t in said if (name := term(t, self._language)) in terms.weights]
        return got == [name for name in wanted if name in got]
