"""Stations named in an answer: "aft of door one left", "the forward galley", "C4's seat"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rehearse.language import Language
from rehearse.register.claim import Claim, Claims, Said, terms
from rehearse.register.model import Station
from rehearse.register.phrasing import Phrasing

LONGEST = 8  # words of a place in one stretch
VAGUE_COST, LOOSE_COST = 2, 3  # a stretch that fits several stations, a word that fits none


@dataclass(frozen=True)
class _Called:
    """One station's words: those of its name, of its place, of its side, and all together."""

    id: str
    name: frozenset[str]
    place: frozenset[str]
    side: frozenset[str]

    @property
    def all(self) -> frozenset[str]:
        return self.name | self.place | self.side


class StationNames:
    """What the stations of a register are called, as terms."""

    def __init__(self, stations: Sequence[Station], language: Language, words: Phrasing) -> None:
        self._words = words
        empty = frozenset(words.words("empty"))

        def called(text: str) -> frozenset[str]:
            return (
                frozenset(t for t in terms(language.tokens(text.split()), language, words) if t)
                - empty
            )

        sides = words.mapping("sides")
        self._stations = [
            _Called(s.id, called(s.name), called(s.place), called(sides.get(s.side, "")))
            for s in stations
        ]
        self._known = frozenset(word for station in self._stations for word in station.all)

    def claims(self, said: Said) -> Claims:
        """The stations that are named; words that fit several are vague."""
        claims = Claims()
        before: frozenset[str] = frozenset()
        for stretch in self._stretches(said):
            parts = self._parted(said, stretch)
            words = [self._words_of(said, stretch[first : last + 1]) for first, last in parts]
            named = [self._named(here, before) for here in words]
            stray = any(
                not name and not _designates(here) for name, here in zip(named, words, strict=True)
            )
            for (first, last), here, name in zip(parts, words, named, strict=True):
                # "forward of door one left in the locker" does not name the locker aft of it.
                exact = bool(name) and not stray
                made = self._claim(said, stretch[first], stretch[last], name or "")
                fitting = replace(made, id=self._fitting(here))
                claims += Claims((made,)) if exact else Claims((), (fitting,))
            before = words[-1] if _other(words[-1]) else before | words[-1]
        return claims

    def _named(self, words: frozenset[str], before: frozenset[str]) -> str | None:
        """The station the words name; doors alone go by what was said of the doors before."""
        station = self._station(words)
        if station is None and _designates(words):
            return self._station(words | _other(before))  # "aft of one left and three left"
        return station

    def _claim(self, said: Said, first: int, last: int, station: str) -> Claim:
        """The claim that the tokens make of a station."""
        count, counted = self._number(said, first)
        denied = any(said.tokens[at].negated for at in range(first, last + 1))
        return said.claim(station, first, last, count=count, counted=counted, denied=denied)

    def _fitting(self, words: frozenset[str]) -> str:
        """The ids of the stations that vague words fit, parted by spaces."""
        return " ".join(station.id for station in self._stations if words <= station.all)

    def _number(self, said: Said, first: int) -> tuple[int | None, int | None]:
        """How many are said to be there: "two in the locker ..."."""
        before = first - 1
        while before >= 0 and not said.terms[before] and not said.ends(before):
            if said.tokens[before].form in self._words.words("joints"):
                return None, None
            before -= 1
        token = said.tokens[before] if before >= 0 else None
        if token is not None and token.kind == "number" and not said.ends(before):
            return int(token.form), before
        return None, None

    def _stretches(self, said: Said) -> Iterator[list[int]]:
        """Tokens that say something of a place, parted where clauses and lists part."""
        stretch: list[int] = []
        for at, token in enumerate(said.tokens):
            if token.form in self._words.words("joints"):
                yield from [stretch] if stretch else []
                stretch = []
                continue
            if self._says(said, at, stretch):
                stretch.append(at)
            if said.ends(at):
                yield from [stretch] if stretch else []
                stretch = []
        if stretch:
            yield stretch

    def _says(self, said: Said, at: int, stretch: Sequence[int]) -> bool:
        """A word of a place; a number only right after one, as in "ceiling box one"."""
        if said.terms[at] not in self._known:
            return False
        return said.tokens[at].kind != "number" or bool(stretch and stretch[-1] == at - 1)

    def _parted(self, said: Said, stretch: Sequence[int]) -> list[tuple[int, int]]:
        """The stretch in as few parts as name a station each."""
        best: list[tuple[int, list[tuple[int, int]]]] = [(0, [])]
        for end in range(1, len(stretch) + 1):
            options = []
            for begin in range(max(0, end - LONGEST), end):
                cost, parts = best[begin]
                more = self._cost(self._words_of(said, stretch[begin:end]))
                options.append((cost + more, [*parts, (begin, end - 1)]))
            best.append(min(options, key=lambda option: option[0]))
        return best[-1][1]

    def _cost(self, words: frozenset[str]) -> int:
        if self._station(words):
            return 1
        fits = any(words <= station.all for station in self._stations)
        return VAGUE_COST if fits else LOOSE_COST * max(2, len(words))

    def _station(self, words: frozenset[str]) -> str | None:
        """The station that the words name: all of its name or place, or words of no other."""
        fitting = [station for station in self._stations if words and words <= station.all]
        whole = [s for s in fitting if s.name <= words or s.place <= words]
        most = max((_matched(s, words) for s in whole), default=0)
        best = [s for s in whole if _matched(s, words) == most] or fitting
        return best[0].id if len(best) == 1 else None

    def _words_of(self, said: Said, tokens: Sequence[int]) -> frozenset[str]:
        return frozenset(said.terms[at] for at in tokens)


def _matched(station: _Called, words: frozenset[str]) -> int:
    """How many words of the name or place are all said."""
    return max(len(part) for part in (station.name, station.place) if part <= words)


def _designates(words: frozenset[str]) -> bool:
    """Whether the words are doors or crew positions alone."""
    return not _other(words)


def _other(words: frozenset[str]) -> frozenset[str]:
    """The words that are neither doors nor crew positions."""
    return frozenset(word for word in words if not _DESIGNATOR.fullmatch(word))


_DESIGNATOR = re.compile(r"\d[lr]|[a-z]{1,3}\d{1,2}")
