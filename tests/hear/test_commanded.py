"""Garbled shouts become commands only where the sound bears them out."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import pytest

from rehearse.events import Ghost, Heard
from rehearse.hear.commanded import Commanded, parts_of
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Segment
from rehearse.hear.recogniser import RATE, Expectation, Recogniser, Sound
from rehearse.hear.thresholds import THRESHOLDS
from rehearse.language import Language

BELTS = "Belts off! Bags down! This way out!"
SLIDE = "Slide! Two by two!"
ON = "Belts on! Bags down! This way out!"
GARBLE = "Builds off, lands down, this way out."
RIGHT = "Belts off Bags down This way out."
SOUND: Sound = np.ones(3 * RATE, np.float32)

Reads = Callable[[str, Mapping[str, float]], str]


@pytest.fixture
def mended(telling: Callable[..., Recogniser], language: Language) -> Reads:
    """Reads words whose supports are told, where belts and slide are expected."""

    def read(words: str, supports: Mapping[str, float]) -> str:
        expectation = Expectation("en", (BELTS, SLIDE), (ON, ON.lower()), (BELTS, SLIDE))
        commanded = Commanded(telling((), supports), expectation, language, THRESHOLDS)
        return " ".join(commanded.mended(SOUND, tuple(words.split())))

    return read


def test_a_garble_that_fits_about_as_well(mended: Reads) -> None:
    """If this fails, a right command that the recogniser garbled is not credited."""
    assert mended(GARBLE, {GARBLE: 14.0, BELTS: 10.0}) == RIGHT


def test_a_garble_that_fits_much_better_stays(mended: Reads) -> None:
    """If this fails, other words are taken for a command because they are like it."""
    assert mended(GARBLE, {GARBLE: 24.0, BELTS: 6.0}) == GARBLE


def test_what_the_sound_hardly_holds_stays(mended: Reads) -> None:
    """If this fails, a noise counts as a command because its garble fits no better."""
    assert mended(GARBLE, {GARBLE: 1.0, BELTS: 1.0}) == GARBLE


def test_an_opposite_that_fits_alike(mended: Reads) -> None:
    """If this fails, "belts on" is credited as "belts off" where the sound does not decide."""
    assert mended(GARBLE, {GARBLE: 14.0, BELTS: 12.0, ON: 11.0}) == GARBLE


def test_the_opposite_is_read_alike(mended: Reads) -> None:
    """If this fails, a dangerous command hides behind a garble that the right one would not."""
    assert mended(GARBLE, {GARBLE: 14.0, ON: 12.0, BELTS: 4.0}).startswith("Belts on")


def test_a_part_is_not_the_whole(mended: Reads) -> None:
    """If this fails, half a command counts as all of it."""
    half = "Belts off! This way out!"
    heard = "Builds off, this way out."
    assert mended(heard, {heard: 12.0, half: 14.0, BELTS: 9.0}) == heard


def test_a_right_reading_is_left_alone(mended: Reads) -> None:
    """If this fails, what was read rightly is read anew, at the cost of time."""
    assert mended(BELTS, {}) == BELTS


def test_each_of_several_sayings(mended: Reads) -> None:
    """If this fails, of a command shouted twice in a breath one saying is lost."""
    heard = f"{BELTS} {GARBLE}"
    assert mended(heard, {GARBLE: 12.0, BELTS: 10.0}) == f"{BELTS} {RIGHT}"
    heard = f"{GARBLE} {GARBLE}"
    assert mended(heard, {GARBLE: 12.0, BELTS: 10.0}) == f"{RIGHT} {RIGHT}"


def test_other_talk_stays(mended: Reads) -> None:
    """If this fails, talk that is like no command is turned into one."""
    talk = "I was thinking about dinner"
    assert mended(talk, {BELTS: 50.0, SLIDE: 50.0}) == talk


def test_without_commands_nothing_changes(
    telling: Callable[..., Recogniser], language: Language
) -> None:
    """If this fails, steps of procedures are read as if they were shouted."""
    expectation = Expectation("en", (BELTS,), (ON,))
    commanded = Commanded(telling((), {BELTS: 50.0}), expectation, language, THRESHOLDS)
    assert commanded.mended(SOUND, tuple(GARBLE.split())) == tuple(GARBLE.split())


def test_parts() -> None:
    """If this fails, a command is not held against what is left when a phrase is left out."""
    assert parts_of(SLIDE) == ("Two by two!", "Slide!")
    assert parts_of("Jump!") == ()


def test_what_repeats_itself_is_read_piece_by_piece(mended: Reads) -> None:
    """If this fails, a garble shouted twice is taken for one saying."""
    heard = "Doze, Jeonbap, doze, Jeonbap"
    read = mended(heard, {"Doze, Jeonbap,": 5.0, "doze, Jeonbap": 5.0, SLIDE: 4.0})
    assert read == heard  # nothing like it is expected
    heard = "Sly too by tool, sly too by tool"
    read = mended(heard, {"Sly too by tool,": 6.0, "sly too by tool": 6.0, SLIDE: 5.0})
    assert read == "Slide Two by two. Slide Two by two."


def test_a_command_among_noise_is_heard(
    telling: Callable[..., Recogniser], language: Language
) -> None:
    """If this fails, a command that the sound bears out is lost with the noise beside it."""
    segment = Segment(SOUND, 10.0, 10.2, 12.8, 0.0)
    expectation = Expectation("en", (BELTS,), (ON,), (BELTS,))
    recogniser = telling([GARBLE], {GARBLE: 14.0, BELTS: 10.0}, 0.1)
    assert isinstance(Confirmer(recogniser, expectation, language).confirm(segment), Heard)
    unlike = telling([GARBLE], {GARBLE: 14.0, BELTS: -10.0}, 0.1)
    assert isinstance(Confirmer(unlike, expectation, language).confirm(segment), Ghost)
