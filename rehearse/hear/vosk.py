"""The Vosk engine: hears a closed list of texts, live and afterwards, and tells them apart.

A closed list turns any noise into one of its texts, each with full confidence. What counts here is
therefore never that confidence but differences of score between rivals in one and the same search:
a text against its opposites, against the filler (no word of the list at all), and against any
other sequence of the list's words. Scores of two searches do not compare: the engine adapts to
what it believes is said, which moves them by several nats.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from rehearse.events import Word
from rehearse.hear.placing import printed_words, spread, timed
from rehearse.hear.recogniser import Expectation, Sound, Transcript
from rehearse.hear.rivals import ahead, common
from rehearse.hear.streaming import Stream
from rehearse.hear.thresholds import CLOSED, Thresholds
from rehearse.hear.vosk_model import BEAM, VoskModel, Way, reach
from rehearse.hear.word_list import UNKNOWN, Grammar, Pieces, Spelling, Vocabulary, printed
from rehearse.language import load

# A jump from one phrase into another costs about 10 nats, as much as a badly heard word gains.
_STRICT = 20_000
# Words heard so far may come in any order: 3 nats a jump.
_LOOSE = 20

_LISTED = 5.0  # nats by which a listed text may be behind other words of the list and be read
# Listed texts that are searched alone when more of them gave none: with fewer words there are fewer
# jumbles. The filler stays their rival.
_NEAREST = (6, 2)
_OPPOSITES = 4  # for each of them, contrasts that may be confused with it
_SHORT = 0.25  # seconds: less of the filler is a breath or a stop between two words
_KEPT_SOUNDS = 3


@dataclass(frozen=True)
class _List:
    """The closed list of a take. words: its printed words by their pieces."""

    grammar: Grammar
    contrasts: frozenset[Spelling]
    words: dict[Pieces, str]


class Vosk:
    """`rehearse.hear.recogniser.Recogniser` over a Vosk model, and a `ClosedList`.

    Until `expecting` gives it a list it reads freely, with all words of the model.

    folder: the model's folder. language: ISO 639-1 code of the speech.

    Raises:
        ModelError: the folder holds no usable model.
        RehearseError: the language is not built in.
    """

    name = "vosk"
    thresholds: Thresholds = CLOSED

    def __init__(self, folder: Path, language: str) -> None:
        self._share(VoskModel(folder), language)

    def _share(self, model: VoskModel, language: str) -> None:
        self.model = model
        self._code = language
        self.vocabulary = Vocabulary(model.knows, load(language))
        self._list: _List | None = None
        self._searches: OrderedDict[bytes, list[tuple[Grammar, tuple[Way, ...]]]] = OrderedDict()
        self._stream = Stream(model)
        self._loose: tuple[Expectation, Grammar, dict[Pieces, str]] | None = None

    def expecting(self, expectation: Expectation) -> Vosk:
        """A recogniser of this model for one take: its list is what is expected, both sides."""
        made = object.__new__(Vosk)
        made._share(self.model, self._code)
        made._list = made._listed(expectation)
        return made

    def _listed(self, expectation: Expectation) -> _List:
        known = self._spelt((*expectation.wordings, *expectation.contrasts))
        contrasts = set(expectation.contrasts)
        return _List(
            self._grammar(known, _STRICT),
            frozenset(spelling for spelling in known if spelling.text in contrasts),
            _printed_of(known),
        )

    def _spelt(self, texts: Sequence[str]) -> list[Spelling]:
        spelt = (self.vocabulary.spelling(text) for text in texts)
        return [spelling for spelling in spelt if spelling is not None]

    def _grammar(self, spellings: Sequence[Spelling], times: int) -> Grammar:
        return Grammar(spellings, (self.model.filler or UNKNOWN, times))

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """Readings, best first, in words of the list; empty when only noise fits.

        A text of the list is read where it fits about as well as anything else its words can say.
        """
        known = self._list
        if known is None:
            return self._read_openly(sound)
        ways = self._search(sound, known.grammar)
        found = self._texts(ways, known.grammar)
        nearest = ways
        for count in _NEAREST:
            if found or not nearest or not self._pieces(nearest[0]):
                break
            near = self._nearest(nearest[0], known, count)
            nearest = self._search(sound, near)
            found = self._texts(nearest, near)
        if not found and ways:
            text = " ".join(printed(self._pieces(ways[0]), known.words))
            found = [Transcript(text, ways[0].score)] if text else []
        return tuple(found)

    def _read_openly(self, sound: Sound) -> tuple[Transcript, ...]:
        ways = self.model.paths(sound, None)
        texts = {" ".join(self._pieces(way)): way.score for way in reversed(ways)}
        return tuple(Transcript(text, score) for text, score in reversed(texts.items()) if text)

    def _texts(self, ways: Sequence[Way], grammar: Grammar) -> list[Transcript]:
        """Ways that are listed texts and not far behind the best, each once."""
        found: dict[str, Transcript] = {}
        for way in ways:
            if ways[0].score - way.score > _LISTED:
                break
            listed = grammar.listed(self._pieces(way)) or ()
            text = " ".join(spelling.text for spelling in listed)
            if text:
                found.setdefault(text, Transcript(text, way.score))
        return list(found.values())

    def _nearest(self, way: Way, known: _List, count: int) -> Grammar:
        """The listed texts most like what was read, with what they could be confused with."""
        said = "".join(self._pieces(way))
        ranked = sorted(known.grammar.by_pieces.values(), key=lambda each: -common(said, each))
        near = ranked[:count]
        opposites = [each for each in ranked[count:] if each in known.contrasts]
        return self._grammar([*near, *opposites[: _OPPOSITES * count]], _STRICT)

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """How well the sound fits each text against the first, nats; only differences count.

        All are rivals in one search, and what it did not find is as far behind as it looked. Two
        texts are compared twice: as they stand, and by the words in which they differ, whatever
        else was read. The smaller difference counts, and none where the two disagree. A text with a
        word that the model does not know gets the support of the first: nothing is decided by it.
        """
        spelt = [self.vocabulary.spelling(text) for text in texts]
        first = spelt[0] if spelt else None
        if first is None:
            return (0.0,) * len(texts)
        ways = self._search(sound, self._grammar([s for s in spelt if s is not None], _STRICT))
        said = [(self._pieces(way), way.score) for way in ways]
        lost = ways[0].score - reach(ways) if ways else 0.0
        return tuple(
            0.0 if other is None else -ahead(first.pieces, other.pieces, said, lost)
            for other in spelt
        )

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """The given text's printed words, with times and confidence."""
        spelling = self.vocabulary.spelling(text)
        if spelling is None:
            return spread(text, sound)
        ways, way = self._found(sound, spelling.pieces)
        if way is None:
            return spread(text, sound)
        return timed(spelling, [word for word in way.words if self._counts(word)], ways)

    def evidence(self, sound: Sound, text: str) -> float:
        """By how much a text is ahead of no word of the list, and not behind a jumble of them.

        It is on the scale of the other engines, where `Thresholds.supported` is enough: 1 when
        everything else that is no listed text is as far behind as the search looks.
        """
        spelling = self.vocabulary.spelling(text)
        if spelling is None:
            return 0.0
        ways, way = self._found(sound, spelling.pieces)
        if way is None:
            return 0.0
        empty = next((each.score for each in ways if not self._pieces(each)), -math.inf)
        lead = min(way.score - empty, reach(ways))
        behind = max(0.0, ways[0].score - way.score - _LISTED)
        return (lead - behind) / BEAM

    def _found(self, sound: Sound, pieces: Pieces) -> tuple[Sequence[Way], Way | None]:
        """The search in which the sound was read so; another one for it if there was none."""
        spelling = Spelling(" ".join(pieces), pieces, ())
        self._search(sound, self._grammar([spelling], _STRICT))
        kept = self._searches[sound.tobytes()]
        for _, ways in kept:
            for way in ways:
                if self._pieces(way) == pieces:
                    return ways, way
        return (), None

    def partial(self, sound: Sound, expectation: Expectation) -> str:
        """What was read so far of an utterance in progress; its sound is taken up where it was."""
        if self._loose is None or self._loose[0] is not expectation:
            known = self._spelt((*expectation.wordings, *expectation.contrasts))
            grammar = self._grammar(known, _LOOSE)
            self._loose = expectation, grammar, _printed_of(grammar.by_pieces.values())
        _, grammar, words = self._loose
        heard = self._stream.heard(sound, grammar)
        return " ".join(printed([word for word in heard if word != self.model.filler], words))

    def _search(self, sound: Sound, grammar: Grammar) -> tuple[Way, ...]:
        """The ways through a grammar, kept for a few sounds."""
        key = sound.tobytes()
        kept = self._searches.setdefault(key, [])
        self._searches.move_to_end(key)
        while len(self._searches) > _KEPT_SOUNDS:
            self._searches.popitem(last=False)
        for known, ways in kept:
            if known.by_pieces == grammar.by_pieces:
                return ways
        ways = self.model.paths(sound, grammar.phrases)
        kept.append((grammar, ways))
        return ways

    def _pieces(self, way: Way) -> Pieces:
        """What a way says: its words, and the filler where it is more than a breath."""
        return tuple(
            UNKNOWN if word.text == self.model.filler else word.text
            for word in way.words
            if self._counts(word)
        )

    def _counts(self, word: Word) -> bool:
        return word.text != self.model.filler or word.end - word.start >= _SHORT


def _printed_of(spellings: Iterable[Spelling]) -> dict[Pieces, str]:
    """The printed words of some texts by their pieces."""
    return {
        pieces: word for spelling in spellings for pieces, word in printed_words(spelling) if pieces
    }
