from __future__ import annotations

from collections.abc import Sequence

import pytest

from rehearse.drill.scoring.rhythm import Saying, elapsed, longest_silence, rate, unevenness
from rehearse.events import Overflow
from rehearse.measured import Measured


def _sayings(starts: Sequence[float], length: float = 0.6, error: float = 0.03) -> list[Saying]:
    return [Saying(Measured(at, error), Measured(at + length, error)) for at in starts]


EVEN = _sayings([10.0, 11.5, 13.0, 14.5, 16.0])


def test_the_rate_is_from_start_to_start() -> None:
    """Five shouts in six seconds would be told as another number a minute."""
    measured = rate(EVEN)
    assert measured.value == pytest.approx(40.0)
    assert measured.error == pytest.approx(40 * (0.06 / 4) / 1.5)


def test_even_shouts_are_even_and_others_are_not() -> None:
    """Rhythm would be praised or blamed for what it was not."""
    assert unevenness(EVEN).value == pytest.approx(0.0)
    assert unevenness(_sayings([0.0, 1.0, 4.0, 5.0, 8.0])).value == pytest.approx(0.5)


def test_the_longest_silence_counts_from_an_end_to_a_start() -> None:
    """The silence while people stand still would be hidden in the length of a shout."""
    some = _sayings([2.0, 3.0, 7.0])
    measured = longest_silence(some, Measured(2.0), Measured(8.0))
    assert measured.value == pytest.approx(3.4)
    assert measured.error == pytest.approx(0.06)


def test_silence_at_the_beginning_and_at_the_end_counts() -> None:
    """Somebody who fell silent before the time was over would not be told so."""
    assert longest_silence(_sayings([2.0]), Measured(0.0), Measured(3.0)).value == 2.0
    assert longest_silence(_sayings([0.0]), Measured(0.0), Measured(3.0)).value == 2.4
    assert longest_silence([], Measured(1.0), Measured(3.0)).value == 2.0


def test_lost_sound_voids_only_the_times_it_touches() -> None:
    """One hiccup of the device would spoil a whole drill, or be counted as the speaker's pause."""
    lost = [Overflow(12.0, 0.4)]
    assert elapsed(EVEN[0].start, EVEN[1].start, lost).value == pytest.approx(1.5)
    voided = elapsed(EVEN[1].start, EVEN[2].start, lost)
    assert voided.value is None
    assert "lost" in voided.void
    uneven_where_lost = _sayings([10.0, 11.5, 14.0, 15.5, 17.0])
    assert rate(uneven_where_lost, lost).value == pytest.approx(40.0)
    assert unevenness(uneven_where_lost, lost).value == pytest.approx(0.0)
    between = [Overflow(12.5, 0.4)]
    assert longest_silence(EVEN, Measured(10.0), Measured(17.0), between).value is None
    assert longest_silence(EVEN[2:], Measured(13.0), Measured(17.0), between).value is not None
    assert longest_silence(EVEN, Measured(10.0), Measured(17.0), lost).value == pytest.approx(0.9)


def test_what_cannot_be_told_says_why() -> None:
    """A figure would stand where there is none."""
    assert rate(EVEN[:1]).value is None
    assert "few" in rate(EVEN[:1]).void
    assert unevenness(EVEN[:2]).value is None
    assert rate([]).void
    assert "lost" in rate(EVEN[1:3], [Overflow(12.0, 0.1)]).void


def test_a_saying_without_a_time_takes_its_neighbours_gaps_along_and_no_more() -> None:
    """The rate would be halved by one onset that could not be found."""
    nowhere = Saying(Measured(None, 0.0, "hidden"), Measured(None, 0.0, "hidden"))
    some = [*EVEN[:2], nowhere, *EVEN[3:]]
    assert rate(some).value == pytest.approx(40.0)
    assert longest_silence(some, Measured(10.0), Measured(17.0)).void == "hidden"
