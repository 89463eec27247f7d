"""A profile in words: every figure with its error, or why there is none."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rehearse.measured import Measured
from rehearse.room.telling import age, line, rows
from rehearse.room.values import Hum
from tests.room.profiles import MEASURED, heard, profile


def test_every_figure_stands_with_its_error() -> None:
    """A bare figure would be taken for exact."""
    found = profile(clipped=0.012, hum=Hum(60, Measured(-66.0, 0.5)), echo=heard(-42.0))
    told = dict(rows(found, Measured(0.143, 0.012)))
    assert told == {
        "room": "-62.0 ± 0.2 dB over full scale",
        "hum": "-66.0 ± 0.5 dB over full scale, 60 Hz",
        "your voice": "-32.0 ± 0.5 dB over full scale",
        "over the room": "30.0 ± 0.7 dB",
        "cut off": "1.20 ± 0.48 % of the voice",
        "tool's voice": "-22.0 ± 0.6 dB over what is played",
        "under yours": "10.0 ± 1.1 dB",
        "comes back": "0.200 ± 0.010 s after it was played",
        "latency": "0.143 ± 0.012 s",
    }


def test_what_is_not_known_says_why() -> None:
    """An empty place would be taken for nought."""
    none = Measured(None, 0.0, "the microphone did not hear the water")
    told = dict(rows(profile(noise=None, level=None), none))
    assert told["room"] == "not measured: mutes silence"
    assert told["hum"] == "not measured"
    assert "less than 5 dB over the room" in told["your voice"]
    assert "-42 dB at most" in told["tool's voice"]
    assert "did not hear the water" in told["latency"]


def test_nothing_cut_off_and_no_hum_are_told_as_such() -> None:
    """A nought with an error would make a good microphone look doubtful."""
    told = dict(rows(profile(), Measured(0.1, 0.01)))
    assert told["cut off"] == "nothing"
    assert told["hum"] == "none stands out"


@pytest.mark.parametrize(
    ("later", "words"),
    [
        (timedelta(hours=-5), "today"),
        (timedelta(hours=23), "today"),
        (timedelta(hours=25), "yesterday"),
        (timedelta(days=400), "400 days ago"),
    ],
)
def test_the_age_is_told_in_days(later: timedelta, words: str) -> None:
    """A measurement of last year would look like one of today; a clock set back breaks nothing."""
    assert age(MEASURED, MEASURED + later) == words
    assert f"measured {words}:" in line(profile(), None, MEASURED + later)
