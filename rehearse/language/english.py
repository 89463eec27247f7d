"""English: how its printed words become tokens, and how its slots are flipped and spelt."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import islice

from rehearse.language.additions import NONE, Additions, merged
from rehearse.language.english_doors import with_doors
from rehearse.language.english_forms import lemma
from rehearse.language.english_numbers import UNITS, spelt, with_numbers
from rehearse.language.lexicon import Lexicon, lexicon
from rehearse.language.protocol import Flip
from rehearse.language.rewriting import Rewriting
from rehearse.language.token import Token

__all__ = ["English", "flipped", "lemma"]

_CONTRACTIONS = {
    "don't": "do not", "doesn't": "does not", "didn't": "did not", "isn't": "is not",
    "aren't": "are not", "wasn't": "was not", "weren't": "were not", "won't": "will not",
    "can't": "can not", "cannot": "can not", "couldn't": "could not", "shouldn't": "should not",
    "wouldn't": "would not", "mustn't": "must not", "hasn't": "has not", "haven't": "have not",
    "needn't": "need not", "ain't": "is not", "dont": "do not", "doesnt": "does not",
    "isnt": "is not", "cant": "can not", "wont": "will not", "didnt": "did not",
    "i'm": "i am", "i've": "i have", "i'll": "i will", "i'd": "i would", "we're": "we are",
    "we'll": "we will", "we've": "we have", "it's": "it is", "that's": "that is",
    "there's": "there is", "let's": "let us", "would've": "would have", "should've": "should have",
    "could've": "could have", "might've": "might have",
    "they're": "they are", "you're": "you are", "he's": "he is",
    "what's": "what is", "gonna": "going to", "gotta": "got to", "wanna": "want to",
}  # fmt: skip
_CONTRACTIONS |= {  # as people and recognisers also write them
    short.replace("'", ""): full for short, full in _CONTRACTIONS.items() if short.endswith("n't")
}
_WORD = re.compile(r"[a-z0-9']+", re.ASCII)
_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}\b)")
_DIGITS_AND_UNIT = re.compile(r"(?<!\d)(\d+)([a-z]{2,})")  # "90degrees"; "2l" and "c4" stay whole


class English:
    """The English of `rehearse.language.Language`, and the tokens that the judge works on."""

    code = "en"
    read_by_models = True
    joins_words = False
    freely_heard = True
    denies_behind = False

    def __init__(self, additions: Additions = NONE) -> None:
        """The shipped words, and an operator's laid over them."""
        self.additions = additions
        self.lexicon: Lexicon = merged(lexicon(self.code), additions)
        read_as = additions.read_as(lexicon(self.code))
        self._rewriting = Rewriting(replace(additions, synonyms=read_as), _parts, spelt)
        self._expanded: dict[str, str] = {}

    def added(self, additions: Additions) -> English:
        """English with these additions, in place of any it has."""
        return self if additions == self.additions else English(additions)

    @cached_property
    def literal(self) -> English:
        """The same without synonyms: for commands, which are judged word by word."""
        return self.added(self.additions.spelling())

    @property
    def rewrites(self) -> bool:
        """Whether an operator's own words are read as others."""
        return bool(self._rewriting)

    def expanded(self, text: str) -> str:
        """The text with an operator's own words written as those the judge knows."""
        if not self._rewriting:
            return text
        if text not in self._expanded:
            self._expanded[text] = self._expand(text)
        return self._expanded[text]

    def _expand(self, text: str) -> str:
        words = text.split()
        raw = _raw_tokens(words)
        out: list[str] = []
        done = 0
        for at, rewrite in self._rewriting.found(raw, lemma):
            if rewrite is None or rewrite.said == rewrite.meant or raw[at].first < done:
                continue
            end = raw[at + len(rewrite.said) - 1].end
            tail = re.search(r"[^\w']*$", words[end - 1])
            out += [*words[done : raw[at].first], rewrite.text + (tail.group() if tail else "")]
            done = end
        return " ".join([*out, *words[done:]])

    def claims(self, _words: Sequence[str]) -> bool:
        """Always, as far as the form of its words goes: `rehearse.judge.polarity` reads clauses."""
        return True

    def tokens(self, words: Sequence[str]) -> tuple[Token, ...]:
        """Printed words (any case and punctuation) as normalised tokens, negation marked."""
        raw = _raw_tokens(words)
        if self._rewriting:
            raw = self._rewriting.applied(raw, lemma)
        hesitations = [token for token in raw if token.form in self.lexicon.hesitations]
        fluent = [token for token in raw if token.form not in self.lexicon.hesitations]
        joined = with_doors(_with_positions(with_numbers(fluent)), self.lexicon)
        return tuple(self._negated(_between(joined, hesitations), words))

    def _negated(self, tokens: Sequence[Token], words: Sequence[str]) -> list[Token]:
        """The tokens with those in the reach of a negation marked; "not only" negates nothing."""
        marked: list[Token] = []
        reach = False
        for token in tokens:
            if token.form in self.lexicon.negations:
                reach = token.form != "without"
                marked.append(token)
                continue
            if token.form in self.lexicon.negation_ends or _after_a_stop(token, words):
                reach = False
            marked.append(replace(token, negated=True) if reach else token)
        return marked

    def flips(self, words: Sequence[str]) -> tuple[Flip, ...]:
        """Every slot among the printed words, each flipped; see `rehearse.language.Language`."""
        tokens = self.tokens(words)
        forms = tuple(token.form for token in tokens)
        return tuple(
            dict.fromkeys(
                flip
                for at, token in enumerate(tokens)
                for flip in self._flips_at(tokens, forms, at, token)
            )
        )

    def _flips_at(
        self, tokens: Sequence[Token], forms: tuple[str, ...], at: int, token: Token
    ) -> list[Flip]:
        if token.kind == "position":
            number = int(token.form[1:])
            near = [n for n in (number - 1, number + 1) if n > 0]
            return [Flip(token.first, token.count, f"C{n}") for n in near]
        if token.kind == "door":
            return [Flip(token.first, token.count, text) for text in _other_doors(token.form)]
        if token.kind == "number":
            others = self.lexicon.number_flips.get(int(token.form), ())
            return [Flip(token.first, token.count, spelt(n)) for n in others]
        flips: list[Flip] = []
        for contrast in self.lexicon.contrasts:
            match = max(
                (
                    form
                    for form in contrast.phrases
                    if forms[at : at + len(form)] == form
                    and contrast.counts(form, forms[at + len(form) :])
                ),
                key=len,
                default=None,
            )
            if match is None or (contrast.near and not contrast.near & set(forms)):
                continue
            last = tokens[at + len(match) - 1]
            for other in contrast.flipped(match, contrast.phrases[match]):
                flips.append(Flip(token.first, last.end - token.first, " ".join(other)))
        return flips + _negation_flips(tokens, at)

    def contrasts(self, sentence: str) -> tuple[str, ...]:
        """The sentences that differ from this one in exactly one slot."""
        words = sentence.split()
        return tuple(dict.fromkeys(flipped(words, flip) for flip in self.flips(words)))

    def spoken(self, text: str) -> str:
        """The text as a person says it: "2L" is "two left", "10" is "ten"."""
        return " ".join(_spoken(token) for token in self.tokens(text.split()))

    def spellings(self, sentence: str) -> tuple[str, ...]:
        """The sentence as a recogniser might print it, itself first."""
        tokens = self.tokens(sentence.split())
        plain = " ".join(token.form for token in tokens)
        digits = " ".join(f"{t.form[0]} {_SIDE[t.form[1]]}" if t.kind == "door" else t.form
                          for t in tokens)  # fmt: skip
        return tuple(
            dict.fromkeys((sentence, self.spoken(sentence), plain, digits, *self._others(tokens)))
        )

    def _others(self, tokens: Sequence[Token]) -> Iterator[str]:
        """The sentence with one stretch in each of the operator's other ways of saying it."""
        forms = [token.form.lower() for token in tokens]
        for at, length, said in islice(self._rewriting.others(forms), MOST_SPELLINGS):
            yield " ".join([*forms[:at], *said, *forms[at + length :]])


def _raw_tokens(words: Sequence[str]) -> list[Token]:
    """One token a word form: contractions and hyphens parted, numbers and doors not yet joined."""
    raw: list[Token] = []
    for at, word in enumerate(words):
        text = _THOUSANDS.sub("", word.lower().replace("’", "'")).replace("%", " percent")
        text = _DIGITS_AND_UNIT.sub(r"\1 \2", text)
        for part in _WORD.findall(text):
            part = part.strip("'")
            spoken = _CONTRACTIONS.get(part, part.replace("'", ""))
            raw.extend(Token(form, "word", at, 1) for form in spoken.split())
    return raw


def _between(joined: Sequence[Token], hesitations: Sequence[Token]) -> Sequence[Token]:
    """The tokens with each "um" back in its place, unless it stood within one ("two um left")."""
    if not hesitations:
        return joined
    within = {at for t in joined if t.kind != "word" for at in range(t.first + 1, t.end)}
    kept = [token for token in hesitations if token.first not in within]
    return sorted((*joined, *kept), key=lambda token: token.first)


def _parts(text: str) -> tuple[str, ...]:
    return tuple(token.form for token in _raw_tokens(text.split()))


MOST_SPELLINGS = 12  # other ways of saying parts of one sentence
_SIDE = {"L": "left", "R": "right"}


def _spoken(token: Token) -> str:
    if token.kind == "door":
        return f"{spelt(int(token.form[0]))} {_SIDE[token.form[1]]}"
    if token.kind == "position":
        return f"C {spelt(int(token.form[1:]))}"
    return spelt(int(token.form)) if token.kind == "number" else token.form


def _other_doors(door: str) -> list[str]:
    """The other side of the same door, and its neighbours on the same side."""
    number, side = int(door[0]), door[1]
    other = _SIDE["R" if side == "L" else "L"]
    near = [n for n in (number - 1, number + 1) if 1 <= n <= 9]
    return [f"{spelt(number)} {other}", *(f"{spelt(n)} {_SIDE[side]}" for n in near)]


def _negation_flips(tokens: Sequence[Token], at: int) -> list[Flip]:
    """ "do not open" without its "do not"; "is not armed" without "not"; "is armed" with it."""
    if tokens[at].form in _COPULAS and not (
        at + 1 < len(tokens) and tokens[at + 1].form in {"not", "never"}
    ):
        return _denied(tokens, at) if _word_of_its_own(tokens, at) else []
    if _participle(tokens, at):
        return [Flip(tokens[at].first, 0, "not")]
    if tokens[at].form not in {"not", "never"}:
        return []
    first = tokens[at].first
    if at and tokens[at - 1].form in {"do", "does", "did"}:
        first = tokens[at - 1].first
    return [Flip(first, tokens[at].end - first, "")]


def _denied(tokens: Sequence[Token], at: int) -> list[Flip]:
    """A "not" after the verb, or in the place of what it may have been heard as."""
    flips = [Flip(tokens[at].end, 0, "not")]
    after = tokens[at + 1]
    if after.form in _LIKE_NOT:
        flips.append(Flip(after.first, after.count, "not"))
    return flips


def _participle(tokens: Sequence[Token], at: int) -> bool:
    """A report's state word that a swallowed "not" could stand before ("and cross-checked")."""
    token = tokens[at]
    begins_a_word = at == 0 or tokens[at - 1].first != token.first
    after_and = at > 0 and tokens[at - 1].form in {"and", "or"}
    compound = at + 1 < len(tokens) and tokens[at + 1].form.endswith("ed")
    return begins_a_word and after_and and (token.form.endswith("ed") or compound)


_COPULAS = {"is", "are", "must", "will", "can"}
_LIKE_NOT = {"now", "note", "knot", "nor", "nod", "naught"}


def _word_of_its_own(tokens: Sequence[Token], at: int) -> bool:
    """Whether the token is a whole printed word, not half of a contraction, and not the last."""
    token = tokens[at]
    alone = at == 0 or tokens[at - 1].first != token.first
    return alone and at + 1 < len(tokens) and tokens[at + 1].first != token.first


def flipped(words: Sequence[str], flip: Flip) -> str:
    """The sentence with one flip applied, keeping the punctuation that ended the flipped words."""
    before, after = list(words[: flip.first]), list(words[flip.first + flip.count :])
    tail = re.search(r"[^\w']*$", words[flip.first + flip.count - 1]) if flip.count else None
    middle = [flip.replacement + (tail.group() if tail else "")] if flip.replacement else []
    return " ".join([*before, *middle, *after])


def _after_a_stop(token: Token, words: Sequence[str]) -> bool:
    return token.first > 0 and words[token.first - 1][-1:] in ",.;:!?"


_POSITION = re.compile(r"(c\d{1,2})s?")


def _with_positions(tokens: Sequence[Token]) -> list[Token]:
    """ "c 4", "c four" and "c four's" joined into the crew position "c4"."""
    joined: list[Token] = []
    for token in tokens:
        before = joined[-1] if joined else None
        figure = token.form if token.kind == "number" else UNITS.get(token.form.removesuffix("s"))
        if named := _POSITION.fullmatch(token.form):
            joined.append(Token(named[1], "position", token.first, token.count))
        elif figure is not None and before is not None and before.form == "c":
            joined[-1] = Token(f"c{figure}", "position", before.first, token.end - before.first)
        else:
            joined.append(token)
    return joined
