"""How much of the tool's own voice comes back into the microphone, and how late.

The samples that were played are laid along the recording. Where they lie is found by correlation
with every pitch weighted alike, so that a voice, which is like itself a moment later, has one
place; how loud they are is the part of the recording that follows from them, pitch by pitch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import median

import numpy as np
import numpy.typing as npt

from rehearse.cues.echo import ERROR, LONGEST
from rehearse.hear.level import active_level
from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured
from rehearse.room.levels import block_powers, decibels, power_of, without_offset
from rehearse.room.values import Echo

_PARTS = 3  # of the voice, each looked for by itself: what is there by chance is not there thrice
_TOGETHER = 0.004  # seconds by which their places may differ: clocks of two devices drift apart
_FOUND = 6.0  # times the correlation elsewhere that a place must reach in every part
_BANDS = (150, 6500)  # hertz that a small loudspeaker and any microphone pass
_WINDOW = 4096  # samples: a quarter of a second, most of a room's own echo
_HOP = _WINDOW // 4
_EARLIER = 0.02  # seconds before its place from which a voice is compared
_LEAST = 3.0  # seconds of voice played that make a figure
_ERROR = 0.5  # dB; see docs/measurements.md
_SURE = 3.0  # dB: a gain that may be off by more is not told
_TOO_WEAK = "it is too weak to measure, or something else sounded meanwhile"

Spectrum = npt.NDArray[np.complex128]


@dataclass(frozen=True)
class _Match:
    """Powers: of what was played, of what was recorded meanwhile, of the voice's share in that."""

    played: float
    recorded: float
    common: float


def not_played(why: str) -> Echo:
    """The echo where nothing was played."""
    none = Measured(None, 0.0, why)
    return Echo(heard=False, gain=none, level=none, under_voice=none, delay=none)


def echo(recording: Sound, given: float, played: Sound, voice: Measured, noise: Measured) -> Echo:
    """What of some samples that were played is in a recording.

    recording: mono, at `RATE`; it goes on for a second after them. given: the second of it at which
    the device was given them. played: the samples, at `RATE` too. voice, noise: levels of the
    trainee and of the room, dB relative to full scale.
    """
    loud = active_level(played)
    first = max(0, int(given * RATE))
    heard = without_offset(recording[first : first + played.size + int(LONGEST * RATE)])
    if loud is None or played.size < _LEAST * RATE or heard.size < played.size:
        return not_played("too little was played")
    most = _most(heard, played)
    places = _places(heard, played)
    if not places:
        return replace(not_played("it is not heard"), at_most=most)
    gain = _gain(heard, played, places, 0.0 if noise.value is None else power_of(noise.value))
    level = gain if gain.value is None else Measured(gain.value + loud, gain.error)
    delay = Measured(median(places) / RATE, ERROR)
    return Echo(True, gain, level, _under(level, voice), delay, most)


def _most(heard: Sound, played: Sound) -> float:
    """The gain if all that was recorded were the voice, at its loudest place, dB."""
    ours = block_powers(played)
    recorded = np.convolve(block_powers(heard), np.ones(len(ours)) / len(ours), mode="valid")
    return decibels(float(recorded.max())) - decibels(float(np.mean(ours)))


def _places(heard: Sound, played: Sound) -> tuple[int, ...]:
    """By how many samples each part of the voice comes later; none where it is not heard."""
    room = heard.size - played.size
    found: list[int] = []
    at = 0
    for part in np.array_split(played, _PARTS):
        place = _place(heard[at : at + part.size + room], part)
        if place is None:
            return ()
        found.append(place)
        at += part.size
    return tuple(found) if max(found) - min(found) <= _TOGETHER * RATE else ()


def _place(heard: Sound, part: Sound) -> int | None:
    """The sample of the recording at which the part begins; None where it is not in it."""
    size = 1 << (heard.size + part.size).bit_length()
    cross = np.fft.rfft(heard, size) * np.conj(np.fft.rfft(part, size))
    pitch = np.fft.rfftfreq(size, 1 / RATE)
    cross[(pitch < _BANDS[0]) | (pitch > _BANDS[1])] = 0.0
    alike = np.abs(np.fft.irfft(cross / np.maximum(np.abs(cross), 1e-12), size))
    places = alike[: heard.size - part.size + 1]
    best = int(np.argmax(places))
    elsewhere = float(np.sqrt(np.mean(np.square(alike))))
    return best if places[best] > _FOUND * elsewhere else None


def _gain(heard: Sound, played: Sound, places: tuple[int, ...], noise: float) -> Measured:
    """The gain, in the middle between what is surely the voice and what may be it.

    Surely the voice is its share by regression; that leaves out what a room with a long echo gives
    back later than a window. All but the room's own noise may be it.
    """
    matches: list[_Match] = []
    at = 0
    for part, place in zip(np.array_split(played, _PARTS), places, strict=True):
        matches.append(_match(part, heard, at + place))
        at += part.size
    if min(match.common for match in matches) <= 0.0:
        return Measured(None, 0.0, _TOO_WEAK)
    each = [decibels(match.common / match.played) for match in matches]
    common = sum(match.common for match in matches)
    gain = decibels(common / sum(match.played for match in matches))
    others = sum(match.recorded for match in matches) - noise * len(matches) - common
    more = 10 * math.log10(1 + max(0.0, others) / common)
    error = _ERROR + (max(each) - min(each)) / 4 + more / 2
    return Measured(gain + more / 2, error) if error <= _SURE else Measured(None, 0.0, _TOO_WEAK)


def _match(part: Sound, heard: Sound, place: int) -> _Match:
    """How much of the recording at a place follows from the part: regression in every pitch."""
    before = int(_EARLIER * RATE)
    there = np.pad(heard, (before, 0))[place : place + part.size + before]
    x, y = _spectra(np.pad(part, (before, 0))[: there.size]), _spectra(there)
    own, other = np.sum(np.abs(x) ** 2, axis=0), np.sum(np.abs(y) ** 2, axis=0)
    common = np.abs(np.sum(y * np.conj(x), axis=0)) ** 2 / np.maximum(own, 1e-20)
    # Windows overlap, so that of four only two count; so much is in common by chance alone.
    chance = (other - common) / max(1.0, len(x) / 2 - 1)
    scale = len(x) * _WINDOW / 2 * float(np.sum(np.square(np.hanning(_WINDOW))))
    return _Match(
        float(np.sum(own)) / scale,
        float(np.sum(other)) / scale,
        float(np.sum(common - chance)) / scale,
    )


def _spectra(sound: Sound) -> Spectrum:
    """Spectra of overlapping windows, shape (windows, pitches)."""
    windows = np.lib.stride_tricks.sliding_window_view(sound, _WINDOW)[::_HOP]
    return np.asarray(np.fft.rfft(windows * np.hanning(_WINDOW), axis=1))


def _under(level: Measured, voice: Measured) -> Measured:
    if level.value is None or voice.value is None:
        return Measured(None, 0.0, level.void or f"your voice has no level: {voice.void}")
    return Measured(voice.value - level.value, level.error + voice.error)
