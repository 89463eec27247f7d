"""An operator's synonyms, abbreviations and designators, read as the words the judge knows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from rehearse.language.additions import Additions
from rehearse.language.lexicon import Form
from rehearse.language.token import Token

_SHORT = re.compile(r"[A-Z0-9]{2,6}")  # what is spoken letter by letter, as PBE or L2


@dataclass(frozen=True)
class Rewrite:
    """Words as they are said, what they are read as, and the text that shows it."""

    said: Form
    meant: Form
    text: str


class Rewriting:
    """All rewrites of one operator; the longest phrase at a place counts."""

    def __init__(
        self, additions: Additions, parts: Callable[[str], Form], spelt: Callable[[int], str]
    ) -> None:
        """`parts` cuts a text into word forms; `spelt` gives the words of a number."""
        self._by_first: dict[str, list[Rewrite]] = {}
        for rewrite in _rewrites(additions, parts, spelt):
            self._by_first.setdefault(rewrite.said[0], []).append(rewrite)
        for rewrites in self._by_first.values():
            rewrites.sort(key=lambda rewrite: -len(rewrite.said))

    def __bool__(self) -> bool:
        return bool(self._by_first)

    def found(
        self, tokens: Sequence[Token], lemma: Callable[[str], str]
    ) -> Iterator[tuple[int, Rewrite | None]]:
        """Each place in turn with what is rewritten there; a rewritten stretch is passed over."""
        at = 0
        while at < len(tokens):
            rewrite = self._at(tokens, at, lemma)
            yield at, rewrite
            at += len(rewrite.said) if rewrite else 1

    def _at(self, tokens: Sequence[Token], at: int, lemma: Callable[[str], str]) -> Rewrite | None:
        form = tokens[at].form
        rewrites = [r for first in dict.fromkeys((form, lemma(form))) for r in self._by_first.get(
            first, ())]  # fmt: skip
        for rewrite in sorted(rewrites, key=lambda r: -len(r.said)):
            stretch = tokens[at : at + len(rewrite.said)]
            if len(stretch) == len(rewrite.said) and all(
                word in {token.form, lemma(token.form)}
                for token, word in zip(stretch, rewrite.said, strict=True)
            ):
                return rewrite
        return None

    def applied(self, tokens: Sequence[Token], lemma: Callable[[str], str]) -> list[Token]:
        """The tokens with every rewritten stretch replaced; its tokens span the whole stretch."""
        out: list[Token] = []
        for at, rewrite in self.found(tokens, lemma):
            if rewrite is None or rewrite.said == rewrite.meant:
                out.extend(tokens[at : at + (len(rewrite.said) if rewrite else 1)])
                continue
            first, end = tokens[at].first, tokens[at + len(rewrite.said) - 1].end
            out.extend(Token(form, "word", first, end - first) for form in rewrite.meant)
        return out

    def others(self, forms: Sequence[str]) -> Iterator[tuple[int, int, Form]]:
        """For each stretch that others say otherwise: first, length, and the other words."""
        everything = [r for rewrites in self._by_first.values() for r in rewrites]
        for rewrite in everything:
            if rewrite.said == rewrite.meant:
                continue
            length = len(rewrite.meant)
            for at in range(len(forms) - length + 1):
                if tuple(forms[at : at + length]) == rewrite.meant:
                    yield at, length, rewrite.said


def _rewrites(
    additions: Additions, parts: Callable[[str], Form], spelt: Callable[[int], str]
) -> Iterator[Rewrite]:
    for synonyms in additions.synonyms:
        meant = parts(synonyms[0])
        yield from (Rewrite(parts(text), meant, synonyms[0]) for text in synonyms)
    for short, full in (*additions.abbreviations, *additions.designators):
        for said in _spoken(short, parts, spelt):
            yield Rewrite(said, parts(full), full)


def _spoken(
    short: str, parts: Callable[[str], Form], spelt: Callable[[int], str]
) -> Iterable[Form]:
    """The short form as it is printed, and with its letters and figures apart."""
    forms = [parts(short)]
    if _SHORT.fullmatch(short):
        letters = tuple(short.lower())
        words = tuple(spelt(int(sign)) if sign.isdigit() else sign for sign in letters)
        forms += [letters, words]
    return dict.fromkeys(forms)
