"""The sounds are what they say, and the same each time."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest

from rehearse.bench.ghosts.block import (
    LEVELS,
    SECONDS,
    at_microphone,
    chance_of,
    echoed,
    turn,
)
from rehearse.bench.ghosts.clips import Cast
from rehearse.bench.ghosts.kinds import KINDS, Kind
from rehearse.bench.ghosts.larynx import gliding, voiced
from rehearse.bench.ghosts.own import script
from rehearse.bench.ghosts.people import everyday
from rehearse.book.model import Procedure
from rehearse.cues.waves import RATE as MADE_RATE
from rehearse.cues.waves import tone
from rehearse.hear.recogniser import RATE, Sound

COMPUTED = [kind for kind in KINDS.values() if not (kind.others or kind.own)]


def _strongest(sound: Sound) -> float:
    """Hertz of the strongest frequency."""
    spectrum = np.abs(np.fft.rfft(sound))
    return float(np.argmax(spectrum) * RATE / sound.size)


@pytest.mark.parametrize("kind", COMPUTED, ids=lambda kind: kind.name)
def test_a_block_is_the_same_each_time_and_lasts_half_a_minute(
    kind: Kind, procedure: Procedure
) -> None:
    """A run that was broken off would go on with other sound, and minutes would be miscounted."""
    block = kind.block(1, Cast(), procedure)
    assert block.seconds == pytest.approx(SECONDS, abs=0.01)
    assert np.isfinite(block.sound).all()
    assert 0 < np.abs(block.sound).max() <= 1.0
    if kind.name in {"silence", "breathing", "hands"}:  # the quick ones stand for all
        assert np.array_equal(block.sound, kind.block(1, Cast(), procedure).sound)
        assert not np.array_equal(block.sound, kind.block(2, Cast(), procedure).sound)


@pytest.mark.parametrize("lengths", [(5,), (3, 5), (4, 5, 3), (5, 4, 3, 2), (2, 5, 3)])
def test_every_combination_comes_before_any_comes_again(lengths: tuple[int, ...]) -> None:
    """Half an hour of a kind would leave out some of its levels or rooms."""
    total = math.prod(lengths)
    drawn = [turn(number, *lengths) for number in range(total)]
    assert len(set(drawn)) == total
    assert turn(total, *lengths) == drawn[0]


def test_a_short_run_has_loud_and_quiet_blocks() -> None:
    """A minute of each kind would try only its quietest level."""
    assert len({turn(number, 3, len(LEVELS))[1] for number in range(4)}) >= 3


@pytest.mark.parametrize("level", LEVELS)
def test_the_level_is_the_one_asked_for(level: float) -> None:
    """What is called loud would be quiet."""
    sound = at_microphone(tone(440.0, 3.0), level, 0, chance_of("level", 0))
    power = 10 * math.log10(float(np.mean(np.square(sound, dtype=np.float64))))
    assert power == pytest.approx(level, abs=0.3)


def test_digital_silence_is_silent(procedure: Procedure) -> None:
    """The kind that stands for no sound at all would hold some."""
    sounds = [KINDS["silence"].block(number, Cast(), procedure).sound for number in range(5)]
    assert sum(not sound.any() for sound in sounds) == 1


def test_the_horn_has_the_pitch_of_a_horn(procedure: Procedure) -> None:
    """What is called a horn would be something else."""
    for number in range(2):
        pitch = _strongest(KINDS["horn"].block(number, Cast(), procedure).sound)
        assert 380 <= pitch <= 1000


def test_a_vowel_has_its_resonances() -> None:
    """Crying and singing would be no voice."""
    chance = chance_of("vowel", 0)
    spectra = {}
    for vowel in "ai":
        sound = voiced(gliding(0.5, 120.0, 120.0), (vowel, vowel), chance)
        spectra[vowel] = np.abs(np.fft.rfft(sound))
    step = MADE_RATE / (2 * (len(spectra["a"]) - 1))

    def strength(vowel: str, low: float, high: float) -> float:
        return float(np.square(spectra[vowel][int(low / step) : int(high / step)]).sum())

    assert strength("a", 600, 1200) > 10 * strength("a", 200, 400)
    assert strength("i", 200, 400) > 10 * strength("i", 600, 1200)


def test_a_room_keeps_the_power_and_adds_a_tail() -> None:
    """An echo would make a block louder, or there would be none."""
    click = np.zeros(RATE)
    click[1000] = 1.0
    heard = echoed(click, 0.4, chance_of("room", 0))
    assert float(np.sum(heard**2)) == pytest.approx(1.0, abs=0.05)
    assert float(np.sum(heard[1000 + RATE // 20 : 1000 + RATE // 5] ** 2)) > 0.01
    assert not heard[:1000].round(6).any()


def test_talk_holds_voices_and_babble_holds_more(
    everybody: Callable[[Sequence[str]], Cast], procedure: Procedure
) -> None:
    """Other people would be inaudible, or a crowd would be one voice."""
    cast = everybody(everyday())
    gaps = {}
    for name in ("talk", "babble"):
        sound = KINDS[name].block(0, cast, procedure).sound
        frames = sound[: sound.size // 800 * 800].reshape(-1, 800)
        power = np.mean(np.square(frames, dtype=np.float64), axis=1)
        gaps[name] = float(np.mean(power < 0.05 * np.percentile(power, 90)))
    assert gaps["talk"] > gaps["babble"]
    assert gaps["talk"] < 0.8


def test_the_tools_voice_is_loud_only_where_hearing_is_muted(
    everybody: Callable[[Sequence[str]], Cast], procedure: Procedure
) -> None:
    """The muted kind would measure muting that does not cover what is spoken."""
    cast = everybody(script(procedure, 3))
    muted = KINDS["own-muted"].block(3, cast, procedure)
    open_ = KINDS["own-open"].block(3, cast, procedure)
    assert muted.muted
    assert not open_.muted
    left = muted.sound.copy()
    for start, end in muted.muted:  # the devices are late, and the room goes on for a moment
        left[int(start * RATE) : int((end + 0.5) * RATE)] = 0.0
    assert np.square(left).sum() < 0.01 * np.square(muted.sound).sum()


def test_the_tool_says_half_a_minute_of_its_own_sentences(procedure: Procedure) -> None:
    """Its voice would be tried with too little, or not with what quotes the steps."""
    said = [script(procedure, number) for number in range(6)]
    assert all(len(" ".join(texts).split()) > 40 for texts in said)
    together = " ".join(text for texts in said for text in texts)
    assert all(step.say in together for step in procedure.steps[:3])
    assert "Say that step again" in together
