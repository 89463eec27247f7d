"""Where a cue is heard: found in a recording that holds it, and never in one that does not."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
import soxr

from rehearse.cues.echo import ERROR, heard, heard_at
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
    assert heard_at(recorded(cue(name), 3.237, 0.1), 3.0, cue(name), RATE) is None


@pytest.mark.parametrize("name", sorted(SOUNDS.keys() - VAGUE))
def test_every_other_sound_is_found_where_it_was_heard(name: str) -> None:
    """Reactions are counted from there: off by a tenth of a second is a tenth of the limit."""
    sound = cue(name)
    found = heard_at(recorded(sound, 3.237, 0.1), 3.0, sound, RATE)
    assert found == pytest.approx(3.237, abs=ERROR)


@pytest.mark.parametrize("name", SOUNDS)
def test_nothing_is_found_where_nothing_was_heard(name: str) -> None:
    """Through a headset the microphone hears no cue: a figure made of noise would be a lie."""
    assert heard_at(recorded(cue(name), 3.2, 0.0), 3.0, cue(name), RATE) is None
    assert heard_at(np.zeros(8 * RATE, np.float32), 3.0, cue(name), RATE) is None


def test_another_cue_is_not_taken_for_it() -> None:
    """The horn that sounds is no proof that the water was heard."""
    horn = recorded(cue("evacuation-signal"), 3.2, 0.1)
    assert heard_at(horn, 3.0, cue("water"), RATE) is None


def test_a_cue_at_the_end_of_a_recording_is_passed_over() -> None:
    """A take that broke off in the middle of a cue is measured by the others."""
    horn = cue("evacuation-signal")
    assert heard_at(recorded(horn, 2.2, 0.1), 7.5, horn, RATE) is None


@pytest.mark.parametrize("name", ["evacuation-signal", "water", "slide-filling", "crowd-moving"])
@pytest.mark.parametrize("faltered", [0.0, 0.18])
def test_a_device_that_falters_makes_a_cue_end_later(name: str, faltered: float) -> None:
    """The trainee answers to what was heard: its end is found, not reckoned from its beginning."""
    sound = cue(name)
    gap = np.zeros(int(faltered * RATE), np.float32)
    broken = np.concatenate([sound[: RATE // 2], gap, sound[RATE // 2 :]])
    found = heard(recorded(broken, 3.2, 0.1), 3.0, sound, RATE)
    assert found is not None
    assert found[1] == pytest.approx(3.2 + len(broken) / RATE, abs=ERROR)
