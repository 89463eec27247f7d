"""Other people: one or two who talk about something else, and the babble of a crowd."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib import resources

import numpy as np

from rehearse.bench.drill_voices import Recorded
from rehearse.bench.ghosts.block import LEVELS, SECONDS, Block, echoed, heard, turn
from rehearse.bench.ghosts.clips import Cast
from rehearse.bench.shouting import cabin_noise
from rehearse.cues.waves import Chance, Samples
from rehearse.hear.recogniser import RATE

_ROOMS = (0.0, 0.35, 0.7)  # seconds of echo
_NOISES = (None, 20.0, 10.0, 5.0)  # dB from the noise to the voices
_CROWDS = (3, 5, 8, 12)  # voices
_PAUSES = (0.15, 1.4)  # seconds from one sentence to the next


@cache
def everyday() -> tuple[str, ...]:
    """Sentences that are no procedure, in the order of their file."""
    lines = resources.files("rehearse.bench.ghosts").joinpath("everyday-en.txt").read_text("utf-8")
    return tuple(line for line in lines.splitlines() if line and not line.startswith("#"))


def talk(number: int, chance: Chance, cast: Cast) -> Block:
    """One person or two in turn, near or far, in rooms and in cabin noise."""
    level, noisy, room, two = turn(number, len(LEVELS), len(_NOISES), len(_ROOMS), 2)
    voices = _drawn(cast, 1 + (two or number % 2), chance)
    whole = np.zeros(round(SECONDS * RATE))
    at = float(chance.uniform(0.2, 0.8))
    while at < SECONDS:
        voice = voices[int(chance.integers(len(voices)))]
        at += _laid(whole, at, _sentence(voice, chance)) + float(chance.uniform(*_PAUSES))
    return Block(heard(_placed(whole, room, noisy, chance), LEVELS[level], number, chance))


def babble(number: int, chance: Chance, cast: Cast) -> Block:
    """Three to twelve people at once, each with a voice and a loudness of their own."""
    level, many, room = turn(number, len(LEVELS), len(_CROWDS), len(_ROOMS))
    whole = np.zeros(round(SECONDS * RATE))
    for voice in _drawn(cast, _CROWDS[many], chance):
        own = np.zeros(whole.size)
        at = -float(chance.uniform(0, 2.0))
        for clip in _without_end(voice, chance):
            at += _laid(own, at, clip) + float(chance.uniform(*_PAUSES)) / 2
            if at >= SECONDS:
                break
        whole += own * 10 ** (float(chance.uniform(-6, 6)) / 20)
    return Block(heard(_placed(whole, room, None, chance), LEVELS[level], number, chance))


def _drawn(cast: Cast, many: int, chance: Chance) -> list[Recorded]:
    """So many voices, different ones as far as there are so many."""
    order = [int(place) for place in chance.permutation(len(cast.others))]
    return [cast.others[order[at % len(order)]] for at in range(many)]


def _without_end(voice: Recorded, chance: Chance) -> Iterator[Samples]:
    while True:
        yield _sentence(voice, chance)


def _sentence(voice: Recorded, chance: Chance) -> Samples:
    """Anything that this voice says."""
    texts = [text for text in everyday() if text in voice.paths]
    clip = voice.say(texts[int(chance.integers(len(texts)))])
    return np.asarray(clip.sound[clip.begin : clip.end], np.float64)


def _laid(whole: Samples, start: float, part: Samples) -> float:
    """Adds a part from a second on, cut off where the whole begins and ends; its length."""
    at = round(start * RATE)
    part_from, room = max(0, -at), max(0, whole.size - max(0, at))
    fits = part[part_from : part_from + room]
    whole[max(0, at) : max(0, at) + fits.size] += fits
    return part.size / RATE


def _placed(whole: Samples, room: int, noisy: int | None, chance: Chance) -> Samples:
    """The voices in a room, in noise."""
    placed = echoed(whole, _ROOMS[room], chance)
    below = None if noisy is None else _NOISES[noisy]
    if below is None:
        return placed
    power = float(np.mean(np.square(placed)))
    noise = cabin_noise(placed.size, int(chance.integers(2**31)))
    return np.asarray(placed + noise * np.sqrt(power) * 10 ** (-below / 20))
