"""Equipment named in an answer, with its numbers: "two smoke hoods and a megaphone"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from rehearse.language import Language
from rehearse.register.claim import Claim, Claims, Said, terms
from rehearse.register.model import Kind
from rehearse.register.phrasing import Phrasing

Name = tuple[str, ...]


class KindNames:
    """What the kinds of a register are called, as terms."""

    def __init__(self, kinds: Sequence[Kind], language: Language, words: Phrasing) -> None:
        self._words = words
        self._names: dict[Name, str] = {}
        measured = frozenset(words.words("pairs"))
        for kind in kinds:
            for text in (kind.name, kind.plural, *kind.also):
                for part in _without_measure(text.split(), measured):
                    name = tuple(t for t in terms(language.tokens(part), language, words) if t)
                    self._names.setdefault(name, kind.id)
        numbers = {form: n for n in range(2, 10) if (form := words.number(n))}
        self._alike = {
            form: count
            for number, count in numbers.items()
            for form in language.lexicon.homophones
            if form != number and language.lexicon.sound_alike(form, number)
        }
        self._heads = _shared_heads(self._names)
        self._measures = measured | {"2"}  # "a pair" is read as the number 2

    def claims(self, said: Said) -> Claims:
        """Everything named in the utterance; a bare "kit" that fits several kinds is vague."""
        claims = Claims()
        found = list(self._found(said))
        starts = {first for first, _, _ in found}
        for first, last, kind in found:
            count, counted = self._number(said, first, last, starts)
            denied = any(said.tokens[i].negated for i in range(first, last + 1))
            claim = said.claim(kind, first, last, count=count, counted=counted, denied=denied)
            if kind in self._heads:
                claims += Claims((), (replace(claim, id=self._heads[kind]),))
                continue
            claims += Claims((claim, *self._hedged(said, claim, counted)))
        return claims

    def _found(self, said: Said) -> Iterator[tuple[int, int, str]]:
        """Where names stand, longest first at each place; a vague head names itself."""
        at = 0
        while at < len(said.terms):
            best = (at, at, "")
            for name, kind in self._names.items():
                last = _last(said, at, name)
                if last is not None and (not best[2] or last > best[1]):
                    best = (at, last, kind)
            if not best[2] and said.terms[at] in self._heads:
                best = (at, at, said.terms[at])
            if best[2]:
                yield best
            at = best[1] + 1

    def _number(
        self, said: Said, first: int, last: int, starts: set[int]
    ) -> tuple[int | None, int | None]:
        """How many are said, and by which token; (None, None) when no number is said."""
        before = first - 1
        while before >= 0 and said.tokens[before].form in self._words.words("between"):
            before -= 1
        if before < 0 or said.ends(before):
            return self._after(said, last, starts)
        if said.tokens[before].form in self._measures:
            inner = said.tokens[before - 1] if before else None
            if inner and (inner.kind == "number" or inner.form in self._words.words("one")):
                before -= 1
            elif said.tokens[before].kind == "number":
                return self._pair(said, before)
        token = said.tokens[before]
        if token.kind == "number":
            return int(token.form), before
        if token.form in self._words.words("one"):
            return 1, before
        if before == first - 1 and token.form in self._alike:
            return self._alike[token.form], before  # "a megaphone to oxygen bottles"
        return self._after(said, last, starts)

    def _hedged(self, said: Said, claim: Claim, counted: int | None) -> tuple[Claim, ...]:
        """ "two or three hoods": the other number is claimed as well."""
        at = -1 if counted is None else counted - 2
        if at < 0 or said.tokens[at].kind != "number":
            return ()
        between = said.tokens[at + 1].form
        if between not in self._words.words("hedges"):
            return ()
        return (replace(claim, count=int(said.tokens[at].form)),)

    def _pair(self, said: Said, at: int) -> tuple[int, int]:
        """ "pair of gloves" is one pair; "two gloves" are two of them."""
        printed = said.words[said.tokens[at].first].strip(".,;:!?").lower()
        return (1 if printed in self._words.words("pairs") else int(said.tokens[at].form)), at

    def _after(self, said: Said, last: int, starts: set[int]) -> tuple[int | None, int | None]:
        """ "smoke hoods, two": a number after the name that belongs to no other name."""
        after = last + 1
        if after < len(said.tokens) and said.tokens[after].kind == "number":
            following = after + 1
            free = following >= len(said.tokens) or said.ends(after)
            joint = not free and said.tokens[following].form in self._words.words("joints")
            if free or (joint and following not in starts):
                return int(said.tokens[after].form), after
        return None, None


def _last(said: Said, at: int, name: Name) -> int | None:
    """The token at which the name ends when it begins at `at`; small words within are passed."""
    here = at
    for number, wanted in enumerate(name):
        while (
            number and here < len(said.terms) and not said.terms[here] and not said.ends(here - 1)
        ):
            here += 1
        if here >= len(said.terms) or said.terms[here] != wanted:
            return None
        here += 1
    return here - 1


def _without_measure(words: Sequence[str], measures: frozenset[str]) -> Iterator[Sequence[str]]:
    """The name without a "pair of" in front, which is then a matter of number."""
    yield words[2:] if words[0] in measures and len(words) > 2 else words


def _shared_heads(names: dict[Name, str]) -> dict[str, str]:
    """Last words of several kinds' names, which alone name none of them, with those kinds."""
    kinds: dict[str, set[str]] = {}
    for name, kind in names.items():
        kinds.setdefault(name[-1], set()).add(kind)
    alone = {name[0] for name in names if len(name) == 1}
    return {
        head: " ".join(sorted(of))
        for head, of in kinds.items()
        if len(of) > 1 and head not in alone
    }
