"""Printed words placed in time by the pieces that a search read, and how sure each is."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rehearse.events import Word
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.vosk_model import Way
from rehearse.hear.word_list import MARKS, Pieces, Spelling


def printed_words(spelling: Spelling) -> list[tuple[Pieces, str]]:
    """Each printed word, without its marks, with its pieces."""
    words, at = [], 0
    for word, count in zip(spelling.text.split(), spelling.counts, strict=True):
        words.append((spelling.pieces[at : at + count], word.strip(MARKS)))
        at += count
    return words


def timed(spelling: Spelling, pieces: Sequence[Word], ways: Sequence[Way]) -> tuple[Word, ...]:
    """The printed words with the times of their pieces; a bare mark has no length."""
    words, at = [], 0
    for text, count in zip(spelling.text.split(), spelling.counts, strict=True):
        own = pieces[at : at + count]
        at += count
        if own:
            sure = min(_share(piece, ways) for piece in own)
            words.append(Word(text, own[0].start, own[-1].end, sure))
    return tuple(words)


def _share(piece: Word, ways: Sequence[Way]) -> float:
    """The share of all ways, by their weight, that have this word at this time."""
    weights = [math.exp(way.score - ways[0].score) for way in ways]
    having = sum(
        weight
        for weight, way in zip(weights, ways, strict=True)
        if any(
            w.text == piece.text and w.start < piece.end and piece.start < w.end for w in way.words
        )
    )
    return having / sum(weights)


def spread(text: str, sound: Sound) -> tuple[Word, ...]:
    """Words without known times, spread evenly over the sound, with no confidence in them."""
    words = text.split()
    each = sound.size / RATE / max(1, len(words))
    return tuple(Word(word, at * each, (at + 1) * each, 0.0) for at, word in enumerate(words))
