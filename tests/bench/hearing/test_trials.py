"""What is said in the hearing benchmark."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from rehearse.bench.hearing.trials import (
    FORBIDDEN,
    OPPOSITES,
    OTHER,
    TURNS,
    WRITTEN,
    Trial,
    kind_of,
    pool,
    sample,
)
from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.language import load
from rehearse.language.english import flipped


@pytest.fixture(scope="module")
def trials() -> tuple[Trial, ...]:
    """Every trial of the shipped Tarn 240."""
    return pool([p for p in shelf.all_procedures() if p.aircraft == "tarn-240"])


def test_a_critical_step_is_said_rightly_and_turned_round(book: Procedure) -> None:
    """Wordings would be missing, or what must not be credited would count as rightly said."""
    kinds = {trial.text: trial.kind for trial in pool([book])}
    assert kinds == {
        "Turn the mode drum to armed": WRITTEN,
        "rotate the drum to armed": OTHER,
        "Turn the mode drum to disarmed": "state",
        "leave the drum alone": FORBIDDEN,
    }
    assert [trial.right for trial in pool([book])] == [True, True, False, False]
    assert not pool([replace(book, language="ko")])


@pytest.mark.parametrize(
    ("said", "turned", "kind"),
    [
        ("door two left armed", "door two right armed", "side"),
        ("door two left armed", "door three left armed", "number"),
        ("hold it with the left hand", "hold it with the right hand", "side"),
        ("turn it half a turn", "turn it full turn", "number"),
        ("do not inflate the vest", "inflate the vest", "polarity"),
        ("the door is armed", "the door is not armed", "polarity"),
        ("pull the handle", "push the handle", "direction"),
        ("inflate it after you leave", "inflate it before you leave", "order"),
        ("see the amber band", "see the white band", "state"),
    ],
)
def test_opposites_are_told_by_their_kind(said: str, turned: str, kind: str) -> None:
    """The benchmark could not cover all kinds of opposites alike."""
    language, words = load("en"), said.split()
    (flip,) = {f for f in language.flips(words) if flipped(words, f) == turned}
    assert kind_of(flip, words, language) == kind


def test_a_sample_covers_every_kind_alike(trials: tuple[Trial, ...]) -> None:
    """A voice would say mostly what the book has most of, as opposite states."""
    said = sample(trials, "af_bella", 48)
    assert len({trial.text for trial in said}) == 48
    assert Counter(trial.kind for trial in said) == Counter(TURNS * 4)
    assert set(OPPOSITES) < {trial.kind for trial in said}


def test_samples_stay_the_same_and_differ_by_voice(trials: tuple[Trial, ...]) -> None:
    """Clips made for one run could not be heard in the next, or all voices would say the same."""
    said = sample(trials, "af_bella", 30)
    assert sample(tuple(reversed(trials)), "af_bella", 30) == said
    assert sample(trials, "af_bella", 12) == said[:12]
    assert sample(trials, "af_bella", 30, seed=1) != said
    assert not {t.text for t in sample(trials, "bm_lewis", 30)} >= {t.text for t in said}


def test_twenty_voices_cover_every_procedure(trials: tuple[Trial, ...]) -> None:
    """Some procedure would never be tried by ear."""
    said = {t.procedure for voice in range(20) for t in sample(trials, f"voice {voice}", 40)}
    assert said == {trial.procedure for trial in trials}


def test_a_small_book_gives_what_it_has(book: Procedure) -> None:
    """Asking for more texts than there are would never end."""
    assert len(sample(pool([book]), "af_bella", 40)) == 4
