"""What is told to be changed: the worst first, two sentences at most, each with what it costs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rehearse.measured import Measured
from rehearse.room.advice import MOST, advice, hears_itself, setting
from rehearse.room.echo import not_played
from rehearse.room.values import Hum, Profile
from tests.room.profiles import heard, profile


def texts(found: Profile) -> list[str]:
    """The sentences."""
    return [each.text for each in advice(found)]


def test_where_all_is_well_nothing_is_to_be_changed() -> None:
    """A person with a good headset would be sent to buy another."""
    assert advice(profile()) == ()


@pytest.mark.parametrize(
    ("found", "change", "cost", "grave"),
    [
        (profile(clipped=0.012, peak=-30.0), "Lower the microphone's input level", "1.2%", True),
        (profile(noise=-38.0), "come nearer to the microphone", "must be said again", True),
        (profile(level=None, noise=-30.0), "Use a headset", "must be said again", True),
        (profile(noise=-45.0), "go where it is quieter", "baseline of a drill is refused", False),
        (profile(level=-58.0, noise=-80.0), "Raise", "goes unnoticed", True),
        (profile(noise=None), "noise suppression", "beginnings of words", False),
        (profile(peak=-9.0), "by about 13 dB", "its level is not told", False),
        (profile(echo=heard(-20.0, -9.0)), "loudspeaker down by about 9 dB", "your first", False),
    ],
)
def test_each_trouble_has_its_change_and_its_cost(
    found: Profile, change: str, cost: str, grave: bool
) -> None:
    """A figure without what to do about it helps nobody; trifles must not sound grave."""
    (only,) = advice(found)
    assert change in only.text
    assert cost in only.text
    assert only.text.endswith(".")
    assert only.grave is grave


def test_noise_that_is_mostly_hum_is_a_matter_of_cables() -> None:
    """Somebody would move to another room and take the cable with them."""
    hum = Hum(50, Measured(-39.5, 0.6))
    (only,) = texts(profile(noise=-38.0, hum=hum))
    assert "Take another cable" in only
    assert "50 Hz" in only
    little = Hum(50, Measured(-52.0, 0.6))
    (only,) = texts(profile(noise=-38.0, hum=little))
    assert "cable" not in only


def test_two_sentences_at_most_the_worst_first() -> None:
    """Whoever is told five things changes none."""
    found = advice(profile(clipped=0.01, noise=-36.0, peak=-0.1, echo=heard(-10.0, -20.0)))
    assert len(found) == MOST
    assert "cut off" in found[0].text
    assert "over the room" in found[1].text


@pytest.mark.parametrize(
    ("found", "itself"),
    [
        (profile(), False),
        (profile(echo=heard(-40.0)), True),
        (profile(echo=heard(-64.0)), True),
        (profile(echo=heard(-75.0)), False),
        (profile(noise=None, echo=heard(-75.0)), True),
        (profile(echo=heard(None)), True),
    ],
)
def test_the_tool_hears_itself_where_its_words_may_be_understood(
    found: Profile, itself: bool
) -> None:
    """With --headset a step that the coach says would be credited: the worst there is.

    Well under the noise of the room nothing is understood; where that is not sure, it counts.
    """
    assert hears_itself(found) is itself
    assert ("Leave --headset out" in setting(found)) is itself


def test_without_a_loudspeaker_no_headset_is_advised() -> None:
    """What was not measured would be told as safe."""
    silent = replace(profile(), echo=not_played("there is no loudspeaker"))
    assert "unknown" in setting(silent)
