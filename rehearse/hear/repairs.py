"""Where a free reading may be a garble of something expected: proposals, nothing is decided here.

A proposal swaps one stretch of the reading's words for words the procedure expects (or could be
confused with) at that place. Both sides of every contrast are proposed alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import lru_cache
from itertools import pairwise

from rapidfuzz import fuzz, process
from rapidfuzz.distance import Levenshtein

from rehearse.hear.recogniser import Expectation
from rehearse.hear.scoring import plain_words, printed_words
from rehearse.hear.thresholds import Thresholds
from rehearse.language import Language

_NEAREST = 24  # expected texts that are compared word by word
_MOST = 14  # proposals, the likest first
_SHORTEST = 4  # letters of a doubtful stretch that can be told by its sound
_FOLDED = 4096  # stretches whose folded letters are kept
_LONGEST_EDGE = 3  # words that may differ before the first or after the last common word

Words = tuple[str, ...]


@dataclass(frozen=True)
class Repair:
    """Words `first` to `first + count` of a reading swapped for `words` (none: taken out).

    likeness: of the letters of both sides, folded by sound, 0..1; 0 when one side is empty.
    allowance: nats the swap may cost and still be taken.
    """

    first: int
    count: int
    words: Words
    likeness: float
    allowance: float

    @property
    def end(self) -> int:
        """Index just past the last word that is swapped."""
        return self.first + self.count


@dataclass(frozen=True)
class _Reading:
    """A reading's plain words, the confidence in each, and which of them decide something."""

    words: Sequence[str]
    confidence: tuple[float, ...]
    slots: frozenset[int]


def swapped(words: Sequence[str], first: int, count: int, instead: Sequence[str]) -> Words:
    """The words with a stretch replaced, keeping the punctuation and capital of that stretch."""
    middle = list(instead)
    old = words[first : first + count]
    if old and middle:
        middle[-1] += old[-1][len(old[-1].rstrip(".,!?;:")) :]
        if old[0][:1].isupper():
            middle[0] = middle[0][:1].upper() + middle[0][1:]
    return (*words[:first], *middle, *words[first + count :])


def likeness(first: Sequence[str], second: Sequence[str]) -> float:
    """How alike two stretches of words sound, judged by their letters, 0..1."""
    return float(Levenshtein.normalized_similarity(_folded(tuple(first)), _folded(tuple(second))))


class Repairer:
    """Proposals for one procedure."""

    def __init__(
        self, expectation: Expectation, language: Language, thresholds: Thresholds
    ) -> None:
        self._language = language
        self._thresholds = thresholds
        self._texts: dict[str, tuple[Words, Words]] = {}
        for text in (*expectation.wordings, *expectation.contrasts):
            for spelt in language.spellings(text):
                heard = tuple(plain_words(spelt))
                self._texts.setdefault(" ".join(heard), (heard, printed_words(spelt)))
        self._vocabulary = frozenset(word for heard, _ in self._texts.values() for word in heard)
        self._pairs = tuple(
            dict.fromkeys(
                pair
                for heard, _ in self._texts.values()
                for pair in (*((word,) for word in heard), *pairwise(heard))
            )
        )

    def proposals(self, words: Sequence[str], confidence: Sequence[float]) -> tuple[Repair, ...]:
        """What the reading could be a garble of, the likest first.

        Args:
            words: the reading, one printed word for each plain word.
            confidence: the recogniser's confidence in each of them, 0..1.
        """
        heard = plain_words(" ".join(words))
        flips = self._language.flips(words)
        slots = {at for flip in flips for at in range(flip.first, flip.first + flip.count)}
        reading = _Reading(heard, tuple(confidence), frozenset(slots))
        # A plain flip is not proposed: the flip test decides it, by a stricter rule.
        flipped = {
            (
                *heard[: flip.first],
                *plain_words(flip.replacement),
                *heard[flip.first + flip.count :],
            )
            for flip in flips
        }
        found: dict[tuple[str, ...], Repair] = {}
        nearest = process.extract(
            " ".join(heard), list(self._texts), scorer=fuzz.token_set_ratio, limit=_NEAREST
        )
        for text, _, _ in nearest:
            for repair in self._from_text(heard, *self._texts[text]):
                self._keep(found, reading, repair)
        for repair in self._from_vocabulary(reading):
            self._keep(found, reading, repair)
        proposed = [repair for made, repair in found.items() if made not in flipped]
        ordered = sorted(proposed, key=lambda repair: -repair.likeness)
        return tuple(ordered[:_MOST])

    def _keep(
        self, found: dict[tuple[str, ...], Repair], reading: _Reading, repair: Repair
    ) -> None:
        old = reading.words[repair.first : repair.end]
        new = plain_words(" ".join(repair.words))
        if old == new or (old and new and self._same(" ".join(old), " ".join(new))):
            return
        repair = replace(repair, allowance=self._allowance(reading, repair, old, new))
        if not repair.allowance and self._settled(reading, repair):
            return
        made = (*reading.words[: repair.first], *new, *reading.words[repair.end :])
        known = found.get(made)
        if known is None or known.allowance < repair.allowance:
            found[made] = repair

    def _allowance(
        self, reading: _Reading, repair: Repair, old: Sequence[str], new: Sequence[str]
    ) -> float:
        """What the swap may cost: nothing where words come, go or decide something.

        What sounds the same is no decision: it can only be told by what is expected.
        """
        if not old or not new:
            return 0.0
        if self._sounds_the_same(old, new):
            return self._thresholds.homophone
        if repair.likeness < self._thresholds.alike:
            return 0.0
        if min(reading.confidence[repair.first : repair.end]) >= self._thresholds.sure:
            return 0.0
        if reading.slots & set(range(repair.first, repair.end)):
            inflected = len(old) == len(new) and all(map(_inflected, old, new))
            return self._thresholds.inflected if inflected else 0.0
        return repair.allowance

    def _settled(self, reading: _Reading, repair: Repair) -> bool:
        """Whether the words to be swapped, or those around a gap, were read too surely to ask."""
        first, end = (
            (repair.first, repair.end)
            if repair.count
            else (max(0, repair.first - 1), repair.first + 1)
        )
        return min(reading.confidence[first:end]) >= self._thresholds.settled

    def _sounds_the_same(self, old: Sequence[str], new: Sequence[str]) -> bool:
        alike = self._language.lexicon.sound_alike
        return alike(" ".join(old), " ".join(new)) or (
            len(old) == len(new) and all(map(alike, old, new))
        )

    def _same(self, one: str, other: str) -> bool:
        spelt = {tuple(plain_words(text)) for text in self._language.spellings(one)}
        return any(tuple(plain_words(text)) in spelt for text in self._language.spellings(other))

    def _from_text(self, heard: Sequence[str], text: Words, shown: Words) -> Iterator[Repair]:
        matcher = SequenceMatcher(None, heard, text, autojunk=False)
        blocks = [block for block in matcher.get_matching_blocks() if block.size]
        common = sum(block.size for block in blocks)
        if common < max(1, 0.35 * len(text)):
            alike = likeness(heard, text)
            if len(text) <= 2 * _LONGEST_EDGE and alike >= self._thresholds.vocabulary_alike:
                yield Repair(0, len(heard), shown, alike, self._thresholds.expected)
            return
        for before, after in pairwise(blocks):
            yield from self._between(
                heard, (before.a + before.size, after.a), shown[before.b + before.size : after.b]
            )
        yield from self._edge_before(heard, blocks[0].a, shown[: blocks[0].b])
        last = blocks[-1]
        yield from self._edge_after(heard, last.a + last.size, shown[last.b + last.size :])

    def _between(
        self, heard: Sequence[str], span: tuple[int, int], shown: Words
    ) -> Iterator[Repair]:
        first, end = span
        if first == end or not shown:
            if len(shown) + end - first <= _LONGEST_EDGE:
                yield Repair(first, end - first, shown, 0.0, 0.0)
            return
        if max(len(shown), end - first) <= 2 * _LONGEST_EDGE:
            alike = likeness(heard[first:end], shown)
            yield Repair(first, end - first, shown, alike, self._thresholds.expected)

    def _edge_before(self, heard: Sequence[str], end: int, shown: Words) -> Iterator[Repair]:
        if not 0 < len(shown) <= _LONGEST_EDGE:
            return
        spans = [(first, end) for first in _around(end - len(shown)) if 0 <= first < end]
        yield from self._likest(heard, spans, shown)
        if end == 0:
            yield Repair(0, 0, shown, 0.0, 0.0)

    def _edge_after(self, heard: Sequence[str], first: int, shown: Words) -> Iterator[Repair]:
        if not 0 < len(shown) <= _LONGEST_EDGE:
            return
        spans = [(first, end) for end in _around(first + len(shown)) if first < end <= len(heard)]
        yield from self._likest(heard, spans, shown)
        if first == len(heard):
            yield Repair(first, 0, shown, 0.0, 0.0)

    def _likest(
        self, heard: Sequence[str], spans: Iterable[tuple[int, int]], shown: Words
    ) -> Iterator[Repair]:
        best = max(
            ((likeness(heard[first:end], shown), first, end) for first, end in spans),
            default=(0.0, 0, 0),
        )
        if best[2] > best[1]:
            yield Repair(best[1], best[2] - best[1], shown, best[0], self._thresholds.expected)

    def _from_vocabulary(self, reading: _Reading) -> Iterator[Repair]:
        """Doubtful words and pairs the procedure does not know, and what in it they sound like."""
        rule = self._thresholds
        for count in (1, 2):
            for first in range(len(reading.words) - count + 1):
                span = reading.words[first : first + count]
                doubtful = min(reading.confidence[first : first + count]) < rule.vocabulary_sure
                known = all(word in self._vocabulary for word in span)
                if known or not doubtful or len("".join(span)) < _SHORTEST:
                    continue
                alike, pair = max(
                    ((likeness(span, pair), pair) for pair in self._pairs), default=(0.0, ())
                )
                if alike >= rule.vocabulary_alike:
                    # Here no opposite competes: a word that decides must earn its place.
                    decides = self._decides(reading.words, first, count, pair)
                    yield Repair(first, count, pair, alike, 0.0 if decides else rule.vocabulary)

    def _decides(self, words: Sequence[str], first: int, count: int, instead: Words) -> bool:
        """Whether the swap would bring in a word that can be flipped."""
        made = (*words[:first], *instead, *words[first + count :])
        return any(
            flip.first < first + len(instead) and first < flip.first + flip.count
            for flip in self._language.flips(made)
        )


def _inflected(one: str, other: str) -> bool:
    """Whether one word is the other with up to three letters more at its end."""
    short, long = sorted((one, other), key=len)
    return len(short) > 2 and long.startswith(short) and len(long) - len(short) <= 3


def _around(at: int) -> tuple[int, int, int]:
    return (at - 1, at, at + 1)


_FOLDS = (
    ("ph", "f"), ("ck", "k"), ("x", "ks"), ("qu", "kw"), ("ce", "se"), ("ci", "si"),
    ("c", "k"), ("z", "s"), ("gh", "g"), ("wh", "w"), ("kn", "n"),
)  # fmt: skip
_VOWELS = str.maketrans("aeiouy", "aaaaaa")


@lru_cache(maxsize=_FOLDED)
def _folded(words: Words) -> str:
    """The letters of some words, with letters that sound alike written alike; one vowel for all.

    A recogniser's garbles keep the consonants and guess the vowels.
    """
    text = "".join(plain_words(" ".join(words)))
    for written, folded in _FOLDS:
        text = text.replace(written, folded)
    text = text.translate(_VOWELS)
    return "".join(letter for at, letter in enumerate(text) if not at or text[at - 1] != letter)
