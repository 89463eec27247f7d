"""Speech split into the sayings that it holds, each judged word by word."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.drill.model import Drill
from rehearse.drill.scoring.kinds import shouted, sort
from rehearse.drill.scoring.shouts import Said, sayings
from rehearse.drill.values import Kind
from rehearse.events import Heard, SlotCheck
from rehearse.judge.verdict import Verdict
from rehearse.language import load
from tests.drill.sample import ACROSS, BELTS, DEAD, drill

ON = "Belts on! Bags down! This way out!"
SLIDE = "Slide! Two by two!"
ONE = "Slide! One by one!"
WORDINGS = (ON, ONE, BELTS, SLIDE, DEAD, ACROSS)


def _said(*texts: str, apart: float = 0.3) -> tuple[Said, ...]:
    heards: list[Heard] = []
    now = 0.0
    for text in texts:
        seconds = len(text.split()) / 3
        heards.append(Heard(now, now + seconds, text))
        now += seconds + apart
    return sayings(heards, WORDINGS, load("en"))


def _told(said: tuple[Said, ...]) -> list[tuple[str, str]]:
    return [(one.wording, one.verdict.value) for one in said]


def test_a_command_again_and_again() -> None:
    """If this fails, of a command shouted four times in a breath some sayings are not counted."""
    assert _told(_said(" ".join([BELTS] * 4))) == [(BELTS, "said")] * 4


def test_different_commands_in_a_breath() -> None:
    """If this fails, a trainee must pause between two commands."""
    assert _told(_said(f"{DEAD} {ACROSS} {SLIDE}")) == [
        (DEAD, "said"),
        (ACROSS, "said"),
        (SLIDE, "said"),
    ]


def test_a_command_over_a_breath() -> None:
    """If this fails, a breath between its phrases breaks a command."""
    assert _told(_said("Belts off!", "Bags down! This", "way out!")) == [(BELTS, "said")]


def test_a_long_silence_parts_commands() -> None:
    """If this fails, half a command now and half a minute later make a whole one."""
    verdicts = {one.verdict for one in _said("Belts off! Bags down!", "This way out!", apart=5.0)}
    assert Verdict.SAID not in verdicts


def test_a_wrong_saying_among_right_ones() -> None:
    """If this fails, one wrong command hides among right ones, or spoils them."""
    assert _told(_said(f"{SLIDE} {ONE} {SLIDE}")) == [
        (SLIDE, "said"),
        (ONE, "said"),
        (SLIDE, "said"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Belts off! Bags up! This way out!",
        "Belts off! This way out!",
        "Bags down! Belts off! That way out!",
        "Slide! Two by three!",
        "Slide! Three by two!",
        "Two by two!",
        "Door dead! Come back!",
        "Door open! Turn back!",
        "Do not turn back, door dead",
        "Other side! Stay here!",
        "Nobody shouts belts off! Bags down! This way out!",
        "Belts off! Bags down! This way out! No, that is wrong.",
        "Should I shout door dead turn back",
        "Door two left dead! Turn around!",
    ],
)
def test_what_is_not_word_for_word_is_no_command(text: str) -> None:
    """If this fails, a wrong, half, denied or reported command is credited."""
    assert not [one for one in _said(text) if one.verdict is Verdict.SAID]


@pytest.mark.parametrize(
    ("text", "wording"),
    [
        ("belts off bags down this way out", BELTS),
        ("Belts off, belts off, bags down, this way out!", BELTS),
        ("Um, slide, two by two", SLIDE),
        ("Slide 2 by 2", SLIDE),
        ("Then I shout: door dead, turn back", DEAD),
        ("Otherside, crossover", ACROSS),
        ("Go on! Other side! Cross over!", ACROSS),
    ],
)
def test_fair_sayings(text: str, wording: str) -> None:
    """If this fails, a right command is not credited for how it was printed or led up to."""
    assert (wording, "said") in _told(_said(text))


def test_doubtful_sound_is_not_credited() -> None:
    """If this fails, "belts on" and "belts off" are not told apart and the right one is assumed."""
    heard = Heard(0.0, 2.0, BELTS, checks=(SlotCheck(1, 1, "off", "on", 1.0),))
    (said,) = sayings([heard], WORDINGS, load("en"))
    assert said.verdict is Verdict.UNCLEAR
    assert said.doubtful == ("off!",)


def test_times_of_sayings() -> None:
    """If this fails, sayings within one utterance are all timed alike."""
    first, second = sayings([Heard(10.0, 14.0, f"{DEAD} {DEAD}")], WORDINGS, load("en"))
    assert (first.start, first.end) == pytest.approx((10.0, 12.0))
    assert (second.start, second.end) == pytest.approx((12.0, 14.0))


@settings(max_examples=60)
@given(st.lists(st.sampled_from((*WORDINGS, "hello there", "come on people")), max_size=6))
def test_every_word_is_in_one_saying(texts: list[str]) -> None:
    """If this fails, words are lost, or counted twice."""
    text = " ".join(texts)
    said = sayings([Heard(0.0, 1.0 + len(text), text)], WORDINGS, load("en"))
    assert " ".join(one.text for one in said) == text
    right = [one.wording for one in said if one.verdict is Verdict.SAID]
    assert right == [text for text in texts if text in WORDINGS]


@pytest.fixture
def small() -> Drill:
    """The small drill."""
    return drill()


def _right(wording: str) -> Said:
    return Said(1.0, 2.0, wording, wording, Verdict.SAID)


def test_what_a_saying_is_in_its_stage(small: Drill) -> None:
    """If this fails, a saying is taken for an answer where it is none, or the other way round."""
    signal, hanging = small.stages
    assert sort(_right(BELTS), small, signal).kind is Kind.ANSWER
    assert sort(_right(BELTS), small, hanging).kind is Kind.EARLIER
    assert sort(_right(BELTS), small, hanging, too_late=True).kind is Kind.STALE
    assert sort(_right(ON), small, signal).kind is Kind.FORBIDDEN
    assert sort(_right(ON), small, hanging).kind is Kind.OTHER
    assert sort(_right(BELTS), small, None).kind is Kind.EARLIER
    half = Said(1.0, 2.0, "Belts off", BELTS, Verdict.INCOMPLETE, missing=("out",))
    assert sort(half, small, signal).kind is Kind.FLAWED
    assert sort(half, small, hanging).kind is Kind.OTHER


def test_forbidden_words_are_listened_for(small: Drill) -> None:
    """If this fails, what must never be said is not among what is listened for."""
    assert set(shouted(small)) == {ON, BELTS, DEAD, ACROSS}
