"""Ways to change the sound of a voice: pace, pitch, band, breath, and the room around it. Pure."""

from __future__ import annotations

from functools import cache
from itertools import product

import numpy as np
import soxr

from rehearse.bench.shouting import Floats
from rehearse.hear.recogniser import RATE

_FRAME = RATE // 25  # samples of one piece that is laid over the next, 40 ms
_SEARCH = RATE // 100  # samples either way in which the best joint is sought

_ORDER = 18  # of the linear prediction: enough for the formants below 8 kHz
_BREATH = RATE // 50  # samples of one analysed stretch, 20 ms

_SOUND_SPEED = 343.0  # metres a second
_ROOM = (7.0, 4.6, 2.2)  # metres: a stretch of a cabin with its galley wall
_REFLECTED = 0.82  # of the pressure at each wall
_SPEAKER, _MICROPHONE = (2.1, 1.5, 1.5), (4.2, 2.7, 1.1)
_IMAGES = 9  # reflections to each side that are followed


def stretched(sound: Floats, longer: float) -> Floats:
    """The same voice at the same pitch, so many times as long.

    Overlapping pieces laid nearer or further apart, each where it continues the last one best
    (WSOLA; Verhelst and Roelands, 1993).
    """
    hop = _FRAME // 2
    window = np.hanning(_FRAME + 1)[:_FRAME]
    padded = np.pad(sound, (_SEARCH + _FRAME, _SEARCH + 2 * _FRAME))
    count = max(1, round(len(sound) * longer / hop))
    made = np.zeros((count + 1) * hop)
    follow = padded[_FRAME : 2 * _FRAME]  # what would come next of its own accord
    for piece in range(count):
        at = min(round(piece * hop / longer), len(sound)) + _FRAME
        near = padded[at : at + _FRAME + 2 * _SEARCH]
        best = at + int(np.argmax(np.correlate(near, follow, mode="valid")))
        made[piece * hop : piece * hop + _FRAME] += window * padded[best : best + _FRAME]
        follow = padded[best + hop : best + hop + _FRAME]
        if len(follow) < _FRAME:
            break
    return made[: round(len(sound) * longer)]


def higher(sound: Floats, times: float) -> Floats:
    """The same voice at so many times its pitch, as long as before."""
    raised: Floats = soxr.resample(stretched(sound, times), RATE * times, RATE)
    return raised


def band(sound: Floats, low: float, high: float) -> Floats:
    """What lies between two frequencies in hertz, fading by 24 and 36 dB an octave outside."""
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    gain = 1 / np.sqrt((1 + (low / np.maximum(hertz, 1.0)) ** 8) * (1 + (hertz / high) ** 12))
    made: Floats = np.fft.irfft(np.fft.rfft(sound) * gain, len(sound))
    return made


def bright(sound: Floats, decibels: float, above: float = 1000.0) -> Floats:
    """The sound with what lies above a frequency raised, as in a voice that strains."""
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    share = (hertz / above) ** 2 / (1 + (hertz / above) ** 2)
    gain = 1 + share * (10 ** (decibels / 20) - 1)
    made: Floats = np.fft.irfft(np.fft.rfft(sound) * gain, len(sound))
    return made


def compressed(sound: Floats, ratio: float, over: float) -> Floats:
    """The sound with its louder parts turned down.

    ratio: decibels of rise that become one. over: power above which that begins.
    """
    width = RATE // 100
    power = np.convolve(np.square(sound), np.full(width, 1 / width), mode="same")
    gain = (np.maximum(power, over) / over) ** (0.5 / ratio - 0.5)
    return sound * gain


def whispered(sound: Floats, seed: int) -> Floats:
    """The voice without its pitch: the same mouth with breath in place of the vocal folds.

    The formants of each stretch are found by linear prediction and filled with noise as loud.
    """
    noise = np.random.default_rng(seed).standard_normal(len(sound) + 4 * _BREATH)
    hop = _BREATH // 2
    window = np.hanning(_BREATH + 1)[:_BREATH]
    made = np.zeros(len(sound) + _BREATH)
    for at in range(0, len(sound) - _BREATH, hop):
        piece = sound[at : at + _BREATH] * window
        power = float(np.mean(np.square(piece)))
        if power < 1e-14:
            continue
        shaped = _through(_prediction(piece), noise[at : at + _BREATH] * window)
        made[at : at + _BREATH] += shaped * np.sqrt(
            power / max(float(np.mean(np.square(shaped))), 1e-20)
        )
    return made[: len(sound)]


def _prediction(piece: Floats) -> Floats:
    """The coefficients 1, a1, a2 ... of the filter that leaves the least of the piece."""
    spectrum = np.square(np.abs(np.fft.rfft(piece, 2 * len(piece))))
    alike = np.fft.irfft(spectrum)[: _ORDER + 1]
    table = alike[np.abs(np.subtract.outer(np.arange(_ORDER), np.arange(_ORDER)))]
    table = table + np.eye(_ORDER) * (1e-4 * alike[0] + 1e-12)
    return np.concatenate([[1.0], -np.linalg.solve(table, alike[1:])])


def _through(prediction: Floats, breath: Floats) -> Floats:
    """The breath as the mouth with this prediction lets it out."""
    spectrum = np.fft.rfft(breath, 2 * len(breath))
    made: Floats = np.fft.irfft(spectrum / np.fft.rfft(prediction, 2 * len(breath)))
    return made[: len(breath)]


def in_room(sound: Floats) -> Floats:
    """The voice as it comes to a microphone two and a half metres away, its echoes after it."""
    response = room_response()
    size = len(sound) + len(response)
    made: Floats = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(response, size), size)
    return made


@cache
def room_response() -> Floats:
    """Pressure by sample, the straight way first and of size 1.

    The images of the speaker in the walls of a box (Allen and Berkley, 1979): about 0.35 s until
    the echo is 60 dB down.
    """
    orders = range(-_IMAGES, _IMAGES + 1)
    straight = float(np.linalg.norm(np.subtract(_SPEAKER, _MICROPHONE)))
    found: dict[int, float] = {}
    for order in product(orders, repeat=3):
        place = [
            size * n + (at if n % 2 == 0 else size - at)
            for n, size, at in zip(order, _ROOM, _SPEAKER, strict=True)
        ]
        way = float(np.linalg.norm(np.subtract(place, _MICROPHONE)))
        sample = round((way - straight) / _SOUND_SPEED * RATE)
        size = straight / way * _REFLECTED ** sum(map(abs, order))
        found[sample] = found.get(sample, 0.0) + size
    kept = {sample: size for sample, size in found.items() if sample < RATE // 2}
    response = np.zeros(max(kept) + 1)
    response[list(kept)] = list(kept.values())
    return response
