"""From the sound of one utterance to the text that the sound supports, or to a ghost.

The free reading is the ground: nothing enters the text that does not fit the sound about as well
as what was read freely. Garbles are mended towards the procedure and its contrasts alike; then
every slot is flipped to its opposite and the sound decides.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rehearse.events import Ghost, Heard, SlotCheck, Word
from rehearse.hear.commanded import Commanded
from rehearse.hear.endpoint import Segment
from rehearse.hear.level import active_level
from rehearse.hear.loops import first_confidence, without_loops
from rehearse.hear.recogniser import ClosedList, Expectation, Recogniser, Sound
from rehearse.hear.repairs import Repair, Repairer, Words, likeness, swapped
from rehearse.hear.scoring import plain, printed_words
from rehearse.hear.thresholds import THRESHOLDS, Thresholds
from rehearse.hear.unread import joined, unread
from rehearse.language import Flip, Language

_REPAIR_ROUNDS = 2  # a mended word can show that its neighbour is a garble too
_FLIP_ROUNDS = 2  # a flipped slot is tested once more, with its neighbours
_FLIPS_A_SLOT = 6


@dataclass(frozen=True)
class _Flipped:
    """A flip, and the whole text it makes.

    narrow: for a flip that takes a neighbour along, the reading without that neighbour; else None.
    """

    flip: Flip
    replacement: Words
    words: Words
    narrow: Words | None


def _nobody_asks(_text: str) -> None:
    """Nothing is done with a free reading."""


class Confirmer:
    """Confirms utterances of one procedure; `rehearse.hear.thresholds` says by which numbers."""

    def __init__(
        self,
        recogniser: Recogniser,
        expectation: Expectation,
        language: Language,
        thresholds: Thresholds = THRESHOLDS,
    ) -> None:
        if isinstance(recogniser, ClosedList):
            thresholds = recogniser.thresholds
            recogniser = recogniser.expecting(expectation)
        self._recogniser = recogniser
        self._language = language
        self._thresholds = thresholds
        self._commanded = Commanded(recogniser, expectation, language, thresholds)
        self._repairer = Repairer(expectation, language, thresholds)
        self._expected = {
            word
            for text in (*expectation.wordings, *expectation.contrasts)
            for word in plain(text).lower().split()
        }

    def confirm(
        self, segment: Segment, read: Callable[[str], None] = _nobody_asks
    ) -> Heard | Ghost:
        """What was said in the segment, every slot tested; a Ghost when nobody said it.

        Where the recogniser stopped early, what follows is read by itself and belongs to it.

        read: told the free reading as soon as there is one; what it raises ends the confirming.
        """
        found = self._confirmed(segment, read)
        rest = unread(segment, found) if isinstance(found, Heard) else None
        if rest is None or isinstance(found, Ghost):
            return found
        more = self.confirm(rest)
        return joined(found, more) if isinstance(more, Heard) else found

    def _confirmed(self, segment: Segment, read: Callable[[str], None]) -> Heard | Ghost:
        sound = segment.sound
        readings = self._recogniser.free(sound)
        if not readings:
            return Ghost(segment.start, segment.end, "", "The sound held no words.")
        read(readings[0].text)
        once = without_loops(printed_words(readings[0].text), segment.end - segment.start)
        words = self._commanded.mended(sound, once)
        borne_out = words != once  # each command in its own stretch of the sound
        words = self._repaired(sound, words)
        words, checks = self._flip_tested(sound, words)
        text = " ".join(words)
        timed = self._recogniser.align(sound, text)
        support = self._recogniser.evidence(sound, text)
        looped = first_confidence(timed) < self._thresholds.repeated
        if not borne_out and (looped or support < self._thresholds.supported):
            why = "The sound does not bear the words out."
            return Ghost(segment.start, segment.end, text, why)
        return Heard(
            start=segment.start,
            end=segment.end,
            text=text,
            words=tuple(_within(word, segment) for word in timed),
            free=readings[0].text,
            alternatives=tuple(r.text for r in readings if plain(r.text) != plain(text)),
            checks=checks,
            support=support,
            level=active_level(sound),
        )

    def _repaired(self, sound: Sound, words: Words) -> Words:
        """The reading with its garbles mended, as far as the sound allows."""
        for _ in range(_REPAIR_ROUNDS):
            aligned = self._recogniser.align(sound, " ".join(words))
            confidence = [word.confidence for word in aligned]
            proposals = self._repairer.proposals(words, confidence)
            taken = self._affordable(sound, words, proposals)
            if not taken:
                break
            for repair in sorted(taken, key=lambda repair: -repair.first):
                words = swapped(words, repair.first, repair.count, repair.words)
        return words

    def _affordable(self, sound: Sound, words: Words, proposals: Sequence[Repair]) -> list[Repair]:
        """The proposals the sound allows, the best where two touch the same words."""
        if not proposals:
            return []
        texts = [swapped(words, r.first, r.count, r.words) for r in proposals]
        base, *others = self._support(sound, [words, *texts])
        allowed = [
            (support, repair)
            for support, repair in zip(others, proposals, strict=True)
            if support - base + repair.allowance > 0
        ]
        taken: list[Repair] = []
        for _, repair in sorted(allowed, key=lambda pair: -pair[0]):
            if all(repair.end < other.first or other.end < repair.first for other in taken):
                taken.append(repair)
        return taken

    def _flip_tested(self, sound: Sound, words: Words) -> tuple[Words, tuple[SlotCheck, ...]]:
        """The words with every slot as the sound has it, and the margins of the flip tests."""
        checks: tuple[SlotCheck, ...] = ()
        for attempt in range(_FLIP_ROUNDS):
            flips = self._flips(words)
            if not flips:
                return words, ()
            margins = self._margins(sound, words, flips)
            checks = _checks(words, flips, margins)
            worst, flipped = min(zip(margins, flips, strict=True), key=lambda pair: pair[0])
            if worst > -self._thresholds.taken or attempt == _FLIP_ROUNDS - 1:
                break
            words = flipped.words
        return words, checks

    def _margins(self, sound: Sound, words: Words, flips: Sequence[_Flipped]) -> list[float]:
        """For each flip, how much better the sound fits what was read, in nats.

        "disarmed" is also read as "is armed", "unhook" as "and hook". A flip that takes the
        neighbour along is therefore also held against the slot without that neighbour: in 8 of 8
        such garbles it fitted better, by 1.9 to 12 nats; in 84 sentences that really were "is
        armed", "and hook" and the like it did so by 4.5 nats at most, and was 2.3 to 15 behind
        what was read.
        """
        narrows = [flip.words if flip.narrow is None else flip.narrow for flip in flips]
        supports = self._support(sound, [words, *(flip.words for flip in flips), *narrows])
        base, others = supports[0], supports[1 : 1 + len(flips)]
        return [
            base - other - max(0.0, other - narrow)
            for other, narrow in zip(others, supports[1 + len(flips) :], strict=True)
        ]

    def _flips(self, words: Words) -> list[_Flipped]:
        """Every slot's flips; of many flips of one slot, those the procedure speaks of first."""
        by_slot: dict[tuple[int, int], list[_Flipped]] = {}
        for flip in self._language.flips(words):
            old = words[flip.first : flip.first + flip.count]
            replacement = self._in_style(old, flip.replacement)
            slot = by_slot.setdefault((flip.first, flip.count), [])
            for first, count in _reaches(words, flip, replacement):
                made = swapped(words, first, count, replacement)
                narrow = None if count == flip.count else swapped(words, first, count, old)
                slot.append(_Flipped(flip, replacement, made, narrow))
        return [
            flipped
            for slot in by_slot.values()
            for flipped in sorted(slot, key=self._unexpected)[:_FLIPS_A_SLOT]
        ]

    def _unexpected(self, flipped: _Flipped) -> bool:
        return not set(plain(" ".join(flipped.replacement)).lower().split()) <= self._expected

    def _in_style(self, old: Sequence[str], replacement: str) -> Words:
        """The replacement in digits where digits were read: spelling must not decide."""
        if any(letter.isdigit() for word in old for letter in word):
            for spelt in self._language.spellings(replacement):
                shown = printed_words(spelt)
                if len(shown) == len(old) and any(c.isdigit() for w in shown for c in w):
                    return shown
        return printed_words(replacement)

    def _support(self, sound: Sound, texts: Sequence[Words]) -> tuple[float, ...]:
        return self._recogniser.support(sound, [" ".join(words) for words in texts])


def _reaches(words: Words, flip: Flip, replacement: Words) -> list[tuple[int, int]]:
    """Which words a flip may take the place of: its own, or its own with a neighbour.

    The neighbour must sound like a part of the opposite, as in "is armed" and "disarmed".
    """
    first, end = flip.first, flip.first + flip.count
    reaches = [(first, flip.count)]
    if flip.count and replacement:
        alike = likeness(words[first:end], replacement)
        for wider in ((first - 1, end), (first, end + 1)):
            inside = wider[0] >= 0 and wider[1] <= len(words)
            if inside and likeness(words[wider[0] : wider[1]], replacement) > alike:
                reaches.append((wider[0], wider[1] - wider[0]))
    return reaches


def _checks(
    words: Words, flips: Sequence[_Flipped], margins: Sequence[float]
) -> tuple[SlotCheck, ...]:
    """For each slot the flip that comes nearest to what was heard."""
    nearest: dict[tuple[int, int], SlotCheck] = {}
    for flipped, margin in zip(flips, margins, strict=True):
        first, count = flipped.flip.first, flipped.flip.count
        known = nearest.get((first, count))
        if known is None or margin < known.margin:
            heard = plain(" ".join(words[first : first + count])).lower()
            contrast = plain(" ".join(flipped.replacement)).lower()
            nearest[first, count] = SlotCheck(first, count, heard, contrast, margin)
    return tuple(nearest.values())


def _within(word: Word, segment: Segment) -> Word:
    """The word with its times counted from the start of the take, within the speech."""
    start = min(max(segment.time + word.start, segment.start), segment.end)
    end = min(max(segment.time + word.end, start), segment.end)
    return Word(word.text, start, end, word.confidence)
