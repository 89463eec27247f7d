"""What happens around a door: slides, jammed wheels, water, fire, people, air that rushes out."""

from __future__ import annotations

import numpy as np

from rehearse.cues.waves import (
    RATE,
    Chance,
    Samples,
    edged,
    knocks,
    laid,
    moments,
    noise,
    struck,
    swelling,
    times,
    tone,
)


def slide_filling(seconds: float, chance: Chance) -> Samples:
    """Gas hisses, falls in pitch as the slide fills, and a thump when it is taut."""
    fills = max(0.5, seconds - 0.5)
    gas = noise(fills, 1500, 8000, chance) * np.linspace(1.0, 0.35, len(times(fills)))
    air = noise(fills, 150, 700, chance) * np.linspace(0.1, 0.8, len(times(fills)))
    return edged(laid(seconds, [(0.0, edged(gas + air, 0.03, 0.1)), (fills, 3 * _thud(chance))]),
                 0.0, 0.05)  # fmt: skip


def slide_hanging(seconds: float, chance: Chance) -> Samples:
    """A slide that has fallen out and did not fill: a thud, then cloth that flaps in the wind."""
    wind = 0.5 * noise(seconds, 100, 500, chance) * swelling(seconds, 2.3, 0.6)
    flaps = knocks(seconds, moments(seconds, 0.33, 0.1, chance), lambda: _flap(chance))
    return edged(laid(seconds, [(0.0, 3 * _thud(chance)), (0.0, wind + 1.5 * flaps)]), 0.0, 0.2)


def door_jammed(seconds: float, chance: Chance) -> Samples:
    """A wheel that is heaved at, knocks against its stop and grates."""
    blows = knocks(seconds, moments(seconds, 0.7, 0.06, chance), lambda: _clank(chance))
    grating = noise(seconds, 1800, 4200, chance) * swelling(seconds, 0.7, 1.0)
    return edged(blows + 0.12 * grating, 0.0, 0.1)


def water(seconds: float, chance: Chance) -> Samples:
    """Water that pours in over a sill, and splashes."""
    stream = noise(seconds, 350, 3500, chance) * swelling(seconds, 1.7, 0.45)
    drops = knocks(seconds, moments(seconds, 0.12, 0.06, chance), lambda: _drop(chance))
    return edged(stream + 1.2 * drops, 0.08, 0.3)


def fire(seconds: float, chance: Chance) -> Samples:
    """A fire that roars low and crackles."""
    roar = noise(seconds, 60, 400, chance) * swelling(seconds, 1.1, 0.4)
    cracks = knocks(seconds, moments(seconds, 0.09, 0.09, chance), lambda: _crack(chance))
    return edged(roar + 1.5 * cracks, 0.15, 0.3)


def engine(seconds: float, chance: Chance) -> Samples:
    """An engine that still turns: a whine over a broad rumble."""
    whine = tone(np.linspace(610, 590, len(times(seconds))), seconds, (0.5, 0.3))
    return edged(0.8 * whine + noise(seconds, 80, 900, chance), 0.3, 0.3)


def crowd(seconds: float, chance: Chance) -> Samples:
    """Many people on the move: feet close together over a murmur without words."""
    feet = knocks(seconds, moments(seconds, 0.11, 0.05, chance), lambda: _footstep(chance))
    return edged(feet + _murmur(seconds, chance), 0.2, 0.3)


def crowd_gone(seconds: float, chance: Chance) -> Samples:
    """The same people thinning out: the last feet, then next to nothing."""
    share = np.maximum(0.0, 1 - times(seconds) / max(0.6 * seconds, 0.1))
    room = 0.05 * noise(seconds, 80, 400, chance)
    late = moments(0.75 * seconds, 0.16, 0.05, chance)
    apart = [second for place, second in enumerate(late) if place % (1 + place // 4) == 0]
    feet = knocks(seconds, apart, lambda: _footstep(chance))
    return edged(feet + _murmur(seconds, chance) * share**2 + room, 0.05, 0.5)


def decompression(seconds: float, chance: Chance) -> Samples:
    """A bang, and air that rushes out and dies away."""
    rush = noise(seconds, 500, 6000, chance) * np.exp(-times(seconds) / max(0.5 * seconds, 0.1))
    return edged(
        laid(seconds, [(0.0, 3 * _thud(chance)), (0.05, edged(rush, 0.02, 0.3))]), 0.0, 0.3
    )


def impact(seconds: float, chance: Chance) -> Samples:
    """Heavy blows one after another, and metal that scrapes along the ground."""
    blows = [(at, power * _thud(chance)) for at, power in ((0.0, 8), (0.55, 6), (0.95, 5))]
    scrape = noise(seconds, 120, 2500, chance) * swelling(seconds, 0.4, 0.5)
    slowing = np.linspace(1.0, 0.1, len(scrape))
    return edged(laid(seconds, [*blows, (0.1, scrape * slowing)]), 0.0, 0.4)


def door_driven(seconds: float, chance: Chance) -> Samples:
    """A door driven out by gas: a sharp hiss and a heavy stop."""
    hiss = noise(0.8, 800, 6000, chance) * struck(0.8, 0.4, 0.02)
    return edged(laid(seconds, [(0.0, hiss), (0.9, 5 * _thud(chance))]), 0.0, 0.1)


def knocking(seconds: float, chance: Chance) -> Samples:
    """Knocks on a door, three at a time."""
    threes = [turn * 1.6 + knock * 0.22 for turn in range(int(seconds / 1.6) + 1)
              for knock in range(3)]  # fmt: skip
    return edged(knocks(seconds, threes, lambda: _thud(chance, 0.04)), 0.0, 0.02)


def _murmur(seconds: float, chance: Chance) -> Samples:
    """Voices from afar in which there is no word: bands of noise that swell out of step."""
    bands = ((180, 320, 0.31), (400, 700, 0.43), (900, 1500, 0.57))
    return sum(
        (0.25 * noise(seconds, low, high, chance) * swelling(seconds, period, 0.6)
         for low, high, period in bands),
        np.zeros(len(times(seconds))),
    )  # fmt: skip


def _thud(chance: Chance, decay: float = 0.12) -> Samples:
    return np.asarray(
        tone(58.0, 0.6, (0.6, 0.3)) * struck(0.6, decay) * 0.7
        + noise(0.6, 60, 900, chance) * struck(0.6, decay / 2) * 0.4
    )


def _flap(chance: Chance) -> Samples:
    return np.asarray(noise(0.15, 250, 2200, chance) * struck(0.15, 0.03, 0.01))


def _clank(chance: Chance) -> Samples:
    ring = sum(
        (strength * tone(pitch, 0.4) * struck(0.4, decay) for pitch, strength, decay in
         ((310.0, 1.0, 0.09), (823.0, 0.7, 0.06), (1640.0, 0.5, 0.04))),
        np.zeros(round(0.4 * RATE)),
    )  # fmt: skip
    return np.asarray(ring + noise(0.4, 200, 3000, chance) * struck(0.4, 0.02))


def _drop(chance: Chance) -> Samples:
    pitch = float(chance.uniform(700, 1800))
    rising = pitch * (1 + 4 * times(0.05))
    return np.asarray(float(chance.uniform(0.2, 1.0)) * tone(rising, 0.05) * struck(0.05, 0.012))


def _crack(chance: Chance) -> Samples:
    loud = float(chance.uniform(0.1, 1.0)) ** 2
    return np.asarray(3 * loud * noise(0.03, 900, 7000, chance) * struck(0.03, 0.006, 0.001))


def _footstep(chance: Chance) -> Samples:
    loud = float(chance.uniform(0.4, 1.0))
    return np.asarray(2 * loud * noise(0.12, 70, 600, chance) * struck(0.12, 0.025, 0.006))
