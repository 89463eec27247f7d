"""Garbled shouts read as the commands that they are, where the sound bears these out.

A recogniser that was trained on talk reads shouts badly: "Builds off, lands down, this way out".
What may be shouted is known, though, and the sound can be asked how well each command fits. A
command takes the place of a garble only where it fits about as well as the garble itself, stands
out from the silence, and beats every command that it could be confused with, parts of itself
included; its opposites are held to the same rule. Each garble is asked for in its own stretch of
the sound: beside a right saying of a command the next one would seem right too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from rehearse.events import Word
from rehearse.hear import energy
from rehearse.hear.recogniser import RATE, Expectation, Recogniser, Sound
from rehearse.hear.repairs import Words, likeness
from rehearse.hear.scoring import plain, plain_words, printed_words
from rehearse.hear.thresholds import Thresholds
from rehearse.language import Language

_ROUNDS = 8  # stretches of one utterance that are looked at
_MOST = 24  # texts scored for one stretch
_ALIKE = 0.35  # likeness from which a stretch may be the command
_SHORTER, _LONGER = 0.6, 1.5  # letters of a garble over those of the command
_AGAIN = 0.8  # likeness of two stretches that are the same thing said twice
_SLOWEST, _FASTEST = 4.0, 28.0  # letters a second of somebody who shouts
_OFF = 0.6  # seconds around a recogniser's time in which two sayings part
_GAP = 20  # frames of silence between them
_PHRASE_END = re.compile(r"(?<=[!?.;:,])\s+")


@dataclass(frozen=True)
class _Reading:
    """A reading with the times of its words, seconds, in its sound."""

    sound: Sound
    words: Sequence[Word]

    def cut(self, first: int, end: int) -> Sound:
        """The sound of the words [first, end)."""
        return self.sound[self._edge(first) : self._edge(end)]

    def _edge(self, at: int) -> int:
        """The sample between two words: the quietest moment near where the words part.

        A recogniser's times of a garble are off by up to half a second.
        """
        if at in {0, len(self.words)}:
            return self.sound.size if at else 0
        middle = (self.words[at - 1].end + self.words[at].start) / 2
        first = max(0, int((middle - _OFF) * RATE))
        power = energy.frame_power(self.sound[first : int((middle + _OFF) * RATE)])
        return first + energy.quietest(power, _GAP) * energy.FRAME


class Commanded:
    """Mends the readings of one expectation; `rehearse.hear.thresholds` says by which numbers."""

    def __init__(
        self,
        recogniser: Recogniser,
        expectation: Expectation,
        language: Language,
        thresholds: Thresholds,
    ) -> None:
        self._recogniser = recogniser
        self._thresholds = thresholds
        known = (*expectation.commands, *expectation.contrasts) if expectation.commands else ()
        once = {plain(text).lower(): text for text in reversed(known)}  # the first spelling stays
        self._commands = tuple(reversed(once.values()))
        self._parts = {text: parts_of(text) for text in self._commands}
        spelt = [
            plain_words(spelt) for text in self._commands for spelt in language.spellings(text)
        ]
        self._spelt = frozenset("".join(words) for words in spelt)
        self._longest = max(map(len, spelt), default=0)

    def mended(self, sound: Sound, words: Words) -> Words:
        """The reading with its garbled commands as they were shouted."""
        done: list[tuple[int, int]] = []
        for _ in range(_ROUNDS if self._commands else 0):
            span = self._likest(sound, words, done)
            if span is None:
                break
            first, end = span
            command = self._command(sound, words, first, end)
            made = _unmarked(command) if command else words[first:end]
            words = (*words[:first], *made, *words[end:])
            done = [_moved(other, end, len(made) - (end - first)) for other in done]
            done.append((first, first + len(made)))
        return words

    def _likest(
        self, sound: Sound, words: Words, done: Sequence[tuple[int, int]]
    ) -> tuple[int, int] | None:
        """The stretch that is likest to a command, first word and end; None when none is like one.

        A garble that is about as long as a command is taken as a whole.
        """
        found: dict[tuple[int, int], tuple[bool, float]] = {}
        for first, end in self._garbled(words, done):
            for command in self._commands:
                said = printed_words(command)
                for span in _near(words, first, end, _letters(said)):
                    alike = likeness(words[span[0] : span[1]], said)
                    if alike >= _ALIKE:
                        known = found.get(span, (False, 0.0))
                        found[span] = max(known, (span == (first, end), alike))
        if found:
            return max(found, key=lambda span: (found[span], -span[0]))
        return None if done else self._unlike(sound, words)

    def _unlike(self, sound: Sound, words: Words) -> tuple[int, int] | None:
        """All of a reading, where it is about as long as one command.

        In noise a garble may have no letter of what was shouted.
        """
        said = [_letters(printed_words(text)) for text in self._commands]
        pace = RATE / max(1, sound.size)
        in_time = min(said) * pace <= _FASTEST and max(said) * pace >= _SLOWEST
        whole = (0, len(words))
        return whole if in_time and whole in set(self._garbled(words, ())) else None

    def _garbled(self, words: Words, done: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
        """The stretches that are no command, nor an opposite of one, and were not asked for."""
        heard = ["".join(plain_words(word)) for word in words]
        known = [any(first <= at < end for first, end in done) for at in range(len(heard))]
        for at in range(len(heard)):
            for end in range(at + 1, min(len(heard), at + self._longest) + 1):
                if "".join(heard[at:end]) in self._spelt:  # "cross over" is also read as one
                    known[at:end] = [True] * (end - at)
        first = 0
        for at in range(len(heard) + 1):
            if at == len(heard) or known[at]:
                if at > first:
                    yield from _apart(words, first, at)
                first = at + 1

    def _command(self, sound: Sound, words: Words, first: int, end: int) -> str:
        """What a stretch is read as; "" when it stays as it is."""
        timed = self._recogniser.align(sound, " ".join(words))
        if len(timed) != len(words):
            return ""
        piece = _Reading(sound, timed).cut(first, end)
        if not piece.size:
            return ""
        heard = words[first:end]
        texts = self._texts(heard)
        garble, *fits = self._recogniser.support(piece, [" ".join(heard), *texts])
        fit = dict(zip(texts, fits, strict=True))
        best = max(self._parts.keys() & fit.keys(), key=lambda text: (fit[text], text))
        return best if self._bears_out(best, fit, garble) else ""

    def _bears_out(self, command: str, fit: Mapping[str, float], garble: float) -> bool:
        """Whether the sound bears a command out: see `rehearse.hear.thresholds`."""
        rule = self._thresholds
        own = fit[command]
        parts = set(self._parts[command])
        others = [support for text, support in fit.items() if text not in {command, *parts}]
        beaten = max(others, default=own - rule.command_beats) + rule.command_beats <= own
        whole = all(fit[part] + rule.command_whole <= own for part in parts & fit.keys())
        worth = own / len(printed_words(command))
        cost = max(0.0, garble - own) / rule.command_costs
        return beaten and whole and worth - cost >= rule.command_worth

    def _texts(self, heard: Words) -> list[str]:
        """The commands a stretch may be, the likest first, each with its own parts."""
        alike = {text: likeness(heard, printed_words(text)) for text in self._commands}
        ordered = sorted(self._commands, key=lambda text: -alike[text])
        texts = dict.fromkeys(part for text in ordered for part in (text, *self._parts[text]))
        return list(texts)[:_MOST]


def parts_of(command: str) -> tuple[str, ...]:
    """The command without each of its phrases: what must never be taken for the whole."""
    phrases = _PHRASE_END.split(command)
    if len(phrases) < 2:
        return ()
    return tuple(" ".join([*phrases[:at], *phrases[at + 1 :]]) for at in range(len(phrases)))


def _apart(words: Words, first: int, end: int) -> Iterator[tuple[int, int]]:
    """A stretch, parted where it says the same again: somebody shouts again what they shouted."""
    for times in (3, 2):
        each, over = divmod(end - first, times)
        starts = range(first, end, max(1, each))
        parts = [words[at : at + each] for at in starts]
        if not over and each and all(likeness(parts[0], part) >= _AGAIN for part in parts):
            yield from ((at, at + each) for at in starts)
            return
    yield first, end


def _near(words: Words, first: int, end: int, letters: int) -> Iterator[tuple[int, int]]:
    """The stretches within [first, end) that are about as long as a command of so many letters."""
    for at in range(first, end):
        for until in range(at + 1, end + 1):
            if _SHORTER <= _letters(words[at:until]) / letters <= _LONGER:
                yield at, until


def _letters(words: Words) -> int:
    return sum(len(word) for text in words for word in plain_words(text))


def _moved(span: tuple[int, int], after: int, words: int) -> tuple[int, int]:
    """The stretch once so many words came in before it, at `after`."""
    return (span[0] + words, span[1] + words) if span[0] >= after else span


def _unmarked(command: str) -> Words:
    """The command's words as a recogniser prints them: a stop ends it, and nothing within."""
    words = [word.strip(".,!?;:") for word in printed_words(command)]
    return (*words[:-1], f"{words[-1]}.")
