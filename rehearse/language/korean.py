"""Korean: how its printed words become tokens, and how its slots are flipped and spelt.

A starter. No step judge reads Korean, so that what is said is judged by these tokens alone
(`rehearse.judge.by_words`); whatever they leave open becomes *unclear*.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from rehearse.language.additions import NONE, Additions, merged
from rehearse.language.korean_doors import with_doors
from rehearse.language.korean_forms import FORMS
from rehearse.language.korean_tokens import raw_tokens, word_tokens
from rehearse.language.korean_verbs import in_same_form
from rehearse.language.korean_words import words as word_forms
from rehearse.language.lexicon import Form, Lexicon, lexicon
from rehearse.language.protocol import Flip
from rehearse.language.rewriting import Rewriting
from rehearse.language.token import Token

_SIDES = {"L": "왼쪽", "R": "오른쪽"}
_MARKS = " .,;:!?…"


class Korean:
    """The Korean of `rehearse.language.Language`."""

    code = "ko"
    read_by_models = False
    joins_words = True
    freely_heard = False
    denies_behind = True

    def __init__(self, additions: Additions = NONE) -> None:
        """The shipped words, and an operator's laid over them."""
        self.additions = additions
        self.lexicon: Lexicon = merged(lexicon(self.code), additions)
        read_as = additions.read_as(lexicon(self.code))
        self._rewriting = Rewriting(replace(additions, synonyms=read_as), _forms, FORMS.spelt)

    def added(self, additions: Additions) -> Korean:
        """Korean with these additions, in place of any it has."""
        return self if additions == self.additions else Korean(additions)

    @cached_property
    def literal(self) -> Korean:
        """The same without synonyms: for commands, which are judged word by word."""
        return self.added(self.additions.spelling())

    @property
    def rewrites(self) -> bool:
        """Never: texts are compared as tokens, which are rewritten there."""
        return False

    def expanded(self, text: str) -> str:
        """The text itself; see `rewrites`."""
        return text

    def claims(self, words: Sequence[str]) -> bool:
        """Whether the sentence claims anything: no question, no fancy, nothing left undone."""
        text = " ".join(words)
        last = next((w for w in reversed([w.strip(_MARKS) for w in words]) if w), "")
        asks = "?" in text or last.endswith(word_forms().asking_ends)
        return not asks and not any(unreal in text for unreal in word_forms().unreal)

    def tokens(self, words: Sequence[str]) -> tuple[Token, ...]:
        """Printed words as normalised tokens, negation marked."""
        raw = raw_tokens(words)
        if self._rewriting:
            raw = self._rewriting.applied(raw, FORMS.lemma)
        return tuple(_negated(with_doors(raw), self.lexicon))

    def flips(self, words: Sequence[str]) -> tuple[Flip, ...]:
        """Every slot among the printed words, each flipped; see `rehearse.language.Language`.

        Nouns keep the particle that follows them; verbs come in the form that was printed.
        """
        tokens = self.tokens(words)
        present = {token.form for token in tokens}
        found: list[Flip] = []
        for token in tokens:
            if token.kind == "door":
                found += [Flip(token.first, token.count, other) for other in _near(token.form)]
            elif token.kind == "number":
                others = self.lexicon.number_flips.get(int(token.form), ())
                found += [_flip(token, words, str(number)) for number in others]
            else:
                found += self._flips_of(token, words, present)
        return tuple(dict.fromkeys(found))

    def _flips_of(self, token: Token, words: Sequence[str], present: set[str]) -> list[Flip]:
        return [
            Flip(token.first, 1, text)
            for contrast in self.lexicon.openings.get(token.form, ())
            if (token.form,) in contrast.phrases and (not contrast.near or contrast.near & present)
            for other in contrast.flipped((token.form,), contrast.phrases[(token.form,)])
            if token.count == 1 and (text := _with(other, token.form, words[token.first]))
        ]

    def contrasts(self, sentence: str) -> tuple[str, ...]:
        """The sentences that differ from this one in exactly one slot."""
        words = sentence.split()
        return tuple(
            dict.fromkeys(
                " ".join([*words[: f.first], f.replacement, *words[f.first + f.count :]])
                for f in self.flips(words)
            )
        )

    def spoken(self, text: str) -> str:
        """The text as a person says it: "2L" is "2번 왼쪽 문"."""
        return " ".join(
            f"{token.form[0]}번 {_SIDES[token.form[1]]} 문" if token.kind == "door" else token.form
            for token in self.tokens(text.split())
        )

    def spellings(self, sentence: str) -> tuple[str, ...]:
        """The sentence as a recogniser might print it, itself first: spaced, and with figures."""
        figures = " ".join(_in_figures(word) for word in sentence.split())
        return tuple(dict.fromkeys((sentence, figures)))


def _negated(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens with what a denial governs marked: the word before it, or the verb after it."""
    marked = list(tokens)
    for at, token in enumerate(tokens):
        if token.form not in lexicon.negations:
            continue
        governs = at + 1 if token.form == "안하다" else at - 1
        if 0 <= governs < len(marked):
            marked[governs] = replace(marked[governs], negated=True)
    return marked


def _forms(text: str) -> Form:
    return tuple(token.form for token in raw_tokens(text.split()))


def _flip(token: Token, words: Sequence[str], number: str) -> Flip:
    """The number's word with another number in its place; what follows a figure stays."""
    printed = words[token.first]
    tail = re.sub(r"^\d+", "", printed) if printed[:1].isdigit() else ""
    return Flip(token.first, token.count, number + tail)


def _with(other: Form, form: str, printed: str) -> str:
    """The printed word with other words in the place of this one; "" where they do not fit."""
    if printed.startswith(form):
        return " ".join(other) + printed[len(form) :]
    word = printed.strip(_MARKS)
    if form not in word_forms().verbs or other[0] not in word_forms().verbs:
        return ""
    inflected = in_same_form(word, form, other[0])
    return printed.replace(word, inflected) if inflected else ""


def _near(door: str) -> list[str]:
    """The other side of the same door, and its neighbours on the same side."""
    number, side = int(door[0]), door[1]
    other = _SIDES["R" if side == "L" else "L"]
    near = [n for n in (number - 1, number + 1) if 1 <= n <= 9]
    return [f"{number}번 {other} 문", *(f"{n}번 {_SIDES[side]} 문" for n in near)]


def _in_figures(word: str) -> str:
    """ "육초" as "6초"; other words as they are."""
    tokens = word_tokens(word, "") if word else []
    if len(tokens) == 2 and tokens[0].kind == "number" and not word[0].isdigit():
        return word.replace(word[: -len(tokens[1].form)], tokens[0].form, 1)
    return word
