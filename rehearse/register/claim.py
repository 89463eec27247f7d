"""What was claimed in an answer: one thing named, with what the words say of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from rehearse.events import Heard
from rehearse.judge.repair import repair
from rehearse.judge.terms import term
from rehearse.language import Language
from rehearse.language.token import Token
from rehearse.register.phrasing import Phrasing


@dataclass(frozen=True)
class Claim:
    """One thing that was named.

    id: as in the register. count: the number said with it, None for none. heard: the words.
    denied: it was said not to be there. doubtful: the sound does not bear the words out.
    """

    id: str
    heard: str
    start: float
    end: float
    count: int | None = None
    denied: bool = False
    doubtful: bool = False


@dataclass(frozen=True)
class Claims:
    """Everything that was named, and what stayed vague: words that fit several things."""

    named: tuple[Claim, ...] = ()
    vague: tuple[Claim, ...] = ()

    def __add__(self, other: Claims) -> Claims:
        """Both."""
        return Claims(self.named + other.named, self.vague + other.vague)


@dataclass(frozen=True)
class Said:
    """One utterance of an answer: mended tokens, their terms, and which the sound left open.

    terms: for each token its term, "" for a small word. stops: whether a clause ends before it.
    """

    heard: Heard
    words: tuple[str, ...]
    tokens: tuple[Token, ...]
    terms: tuple[str, ...]
    doubts: frozenset[int] = field(default=frozenset())

    def claim(
        self,
        name: str,
        first: int,
        last: int,
        *,
        count: int | None = None,
        counted: int | None = None,
        denied: bool = False,
    ) -> Claim:
        """The claim that tokens first to last (inclusive) make; `counted` is its number's token."""
        begin = min(first, last if counted is None else counted)
        end = max(last, first if counted is None else counted)
        tokens = self.tokens[begin : end + 1]
        printed = " ".join(self.words[tokens[0].first : tokens[-1].end]).strip(".,;:!?")
        pace = (self.heard.end - self.heard.start) / max(1, len(self.words))
        doubtful = any(not self.doubts.isdisjoint(range(t.first, t.end)) for t in tokens)
        return Claim(
            name,
            printed,
            round(self.heard.start + pace * tokens[0].first, 2),
            round(self.heard.start + pace * tokens[-1].end, 2),
            count,
            denied,
            doubtful,
        )

    def ends(self, at: int) -> bool:
        """Whether a clause ends right after this token."""
        return self.words[self.tokens[at].end - 1][-1:] in ".,;:!?"


def said(heard: Heard, language: Language, words: Phrasing, margin: float) -> Said:
    """The utterance made ready: slips mended, words for places read as the register has them.

    margin: nats; a flip test below it leaves its words in doubt.
    """
    printed = tuple(heard.text.split())
    tokens = repair(language.tokens(printed), language.lexicon).tokens
    doubts = frozenset(
        at
        for check in heard.checks or ()
        if check.margin < margin
        for at in range(check.first, check.first + max(1, check.count))
    )
    return Said(heard, printed, tokens, terms(tokens, language, words), doubts)


def terms(tokens: Sequence[Token], language: Language, words: Phrasing) -> tuple[str, ...]:
    """The term of each token, "" for a small word."""
    places = words.mapping("read_as")
    return tuple(_term(token, language, places.get(token.form)) for token in tokens)


def _term(token: Token, language: Language, place: str | None) -> str:
    if token.kind == "door":
        return token.form.lower()
    if place is not None:
        return place
    return term(token, language) or ""
