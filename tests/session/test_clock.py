"""A take's time follows its sound, whatever the device does."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.session.clock import SoundClock

BLOCK = 0.032


class System:
    """The system's clock, moved by hand."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        """Seconds, from no particular moment."""
        return self.now


def hear(clock: SoundClock, system: System, seconds: float, speed: float = 1.0) -> None:
    """Blocks that arrive as they are recorded, by a device whose clock runs at this speed."""
    for _ in range(round(seconds / BLOCK)):
        system.now += BLOCK / speed
        clock.advance(BLOCK)


def test_it_stands_until_sound_arrives() -> None:
    """A microphone that takes long to open costs no time of the take."""
    system = System()
    clock = SoundClock(system)
    system.now += 5.0
    assert clock() == 0.0
    hear(clock, system, 1.0)
    assert clock() == pytest.approx(1.0, abs=BLOCK)


def test_it_runs_on_between_blocks() -> None:
    """A device that falls silent does not stop the time, so that waiting comes to an end."""
    system = System()
    clock = SoundClock(system)
    hear(clock, system, 1.0)
    system.now += 3.0
    assert clock() == pytest.approx(4.0, abs=BLOCK)


def test_a_block_that_arrives_late_does_not_move_it() -> None:
    """A busy machine delivers three blocks at once; the sound's time is as it was."""
    system = System()
    clock = SoundClock(system)
    hear(clock, system, 1.0)
    system.now += 0.3
    for _ in range(3):
        clock.advance(BLOCK)
    assert clock() == pytest.approx(1.3, abs=BLOCK)


def test_lost_sound_is_left_out_within_two_seconds() -> None:
    """What the device dropped is not in the recording, so it is not in its time."""
    system = System()
    clock = SoundClock(system)
    hear(clock, system, 3.0)
    system.now += 0.5  # sound that never arrives
    hear(clock, system, 2.5)
    assert clock() == pytest.approx(5.5, abs=BLOCK)


def test_a_device_with_a_clock_of_its_own_is_followed() -> None:
    """After ten minutes on a device that is 0.1 % slow the times still agree."""
    system = System()
    clock = SoundClock(system)
    hear(clock, system, 600.0, speed=0.999)
    assert clock() == pytest.approx(600.0, abs=2 * BLOCK)


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)), max_size=60))
def test_it_never_goes_back(happened: list[tuple[float, float]]) -> None:
    """However the sound arrives, a later event never gets an earlier time."""
    system = System()
    clock = SoundClock(system)
    told = 0.0
    for passed, arrived in happened:
        system.now += passed
        clock.advance(arrived)
        assert clock() >= told
        told = clock()


def test_lost_sound_is_taken_out_at_once() -> None:
    """A cue given right after a loss is placed where its sound is, not where it would have been."""
    system = System()
    clock = SoundClock(system)
    hear(clock, system, 5.0)
    system.now += 2.0  # the reader stalls, and the device drops what comes
    before = clock()
    clock.lost()
    assert before == pytest.approx(7.0, abs=2 * BLOCK)
    hear(clock, system, BLOCK)
    assert clock() == pytest.approx(5.0 + BLOCK, abs=BLOCK)
    hear(clock, system, 1.0)
    assert clock() == pytest.approx(6.0, abs=2 * BLOCK)
