"""How late a cue is heard: found in a recording that holds it, and never in one that does not."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
import soxr

from rehearse.cues.echo import latency
from rehearse.cues.sounds import SOUNDS, render

Sound = npt.NDArray[np.float32]
RATE = 16000
ROOM = np.random.default_rng(5)


def cue(name: str) -> Sound:
    """A cue as a session gives it, at the recording's rate."""
    samples, rate = render(name, min(2.0, SOUNDS[name].seconds))
    return np.asarray(soxr.resample(samples, rate, RATE), dtype=np.float32)


def recorded(sound: Sound, at: float, level: float, noise: float = 0.001) -> Sound:
    """Eight seconds of a noisy room in which the sound is heard, with an echo, from `at` on."""
    whole = ROOM.normal(0, noise, 8 * RATE)
    for later, share in ((0.0, 1.0), (0.013, 0.4), (0.041, 0.2)):
        begin = int((at + later) * RATE)
        whole[begin : begin + len(sound)] += share * level * sound
    return whole.astype(np.float32)


VAGUE = {"chime-high", "chime-low", "chime-high-low", "interphone-call", "interphone-emergency",
         "smoke-alarm", "countdown-beep"}  # fmt: skip


@pytest.mark.parametrize("name", sorted(VAGUE))
def test_a_bell_does_not_tell_when_it_began(name: str) -> None:
    """A chime is like itself a moment later: with an echo it would be placed wrongly."""
    assert latency(recorded(cue(name), 3.237, 0.1), [(3.0, cue(name))], RATE) is None


@pytest.mark.parametrize("name", sorted(SOUNDS.keys() - VAGUE))
def test_every_other_sound_is_found_where_it_was_heard(name: str) -> None:
    """Reactions are counted from there: off by a tenth of a second is a tenth of the limit."""
    sound = cue(name)
    found = latency(recorded(sound, 3.237, 0.1), [(3.0, sound)], RATE)
    assert found is not None
    assert found.seconds == pytest.approx(0.237, abs=found.error)
    assert found.error <= 0.02


@pytest.mark.parametrize("name", SOUNDS)
def test_nothing_is_found_where_nothing_was_heard(name: str) -> None:
    """Through a headset the microphone hears no cue: a figure made of noise would be a lie."""
    assert latency(recorded(cue(name), 3.2, 0.0), [(3.0, cue(name))], RATE) is None
    assert latency(np.zeros(8 * RATE, np.float32), [(3.0, cue(name))], RATE) is None


def test_another_cue_is_not_taken_for_it() -> None:
    """The horn that sounds is no proof that the water was heard."""
    given = [(3.0, cue("water"))]
    assert latency(recorded(cue("evacuation-signal"), 3.2, 0.1), given, RATE) is None


def test_a_spread_over_cues_is_told() -> None:
    """A device that starts late now and then makes every time less sure."""
    horn, water = cue("evacuation-signal"), cue("water")
    both = recorded(horn, 0.5, 0.1) + recorded(water, 4.56, 0.1)
    found = latency(both, [(0.3, horn), (4.3, water)], RATE)
    assert found is not None
    assert found.cues == 2
    assert found.seconds == pytest.approx(0.23, abs=0.005)
    assert found.error == pytest.approx(0.04, abs=0.005)


def test_a_cue_at_the_end_of_a_recording_is_passed_over() -> None:
    """A take that broke off in the middle of a cue is measured by the others."""
    horn = cue("evacuation-signal")
    whole = recorded(horn, 2.2, 0.1)
    found = latency(whole, [(2.0, horn), (7.5, horn)], RATE)
    assert found is not None
    assert found.cues == 1
