from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import pytest

from rehearse.events import Ghost, Heard
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Segment
from rehearse.hear.recogniser import RATE, Expectation, Recogniser
from rehearse.language import Language

Confirm = Callable[..., Heard | Ghost]
ARMED = "Door two left armed and cross-checked"


@pytest.fixture
def confirm(
    expectation: Expectation,
    language: Language,
    telling: Callable[..., Recogniser],
) -> Confirm:
    """What becomes of a two-second utterance, given what the recogniser tells."""
    noise = np.random.default_rng(3).normal(0, 0.05, 2 * RATE).astype(np.float32)
    segment = Segment(noise, 9.75, 10.0, 11.5, 0.0)

    def run(
        readings: Sequence[str], supports: Mapping[str, float], score: float = 2.0
    ) -> Heard | Ghost:
        recogniser = telling(readings, supports, score)
        return Confirmer(recogniser, expectation, language).confirm(segment)

    return run


def _heard(event: Heard | Ghost) -> Heard:
    assert isinstance(event, Heard)
    return event


def test_a_reading_the_sound_bears_out_is_heard(confirm: Confirm) -> None:
    """Text, times, level and support of a clear utterance; times lie within the speech."""
    heard = _heard(confirm([ARMED], {ARMED: 30.0}))
    assert heard.text == "Door two left armed and cross checked"
    assert (heard.start, heard.end) == (10.0, 11.5)
    assert heard.support == 2.0
    assert heard.level == pytest.approx(-26, abs=1)
    assert [word.text for word in heard.words] == heard.text.split()
    assert all(10.0 <= word.start <= word.end <= 11.5 for word in heard.words)


def test_every_slot_has_its_margin(confirm: Confirm) -> None:
    """Door and state are each tested against the nearest opposite."""
    heard = _heard(
        confirm(
            [ARMED],
            {
                ARMED: 30.0,
                "Door two left disarmed and cross-checked": 18.0,
                "Door two right armed and cross-checked": 21.0,
                "Door three left armed and cross-checked": 24.0,
            },
        )
    )
    assert heard.checks is not None
    margins = {(check.heard, check.contrast): check.margin for check in heard.checks}
    assert margins["two left", "three left"] == 6.0
    assert margins["armed", "disarmed"] == 12.0


def test_a_slot_is_flipped_when_the_sound_clearly_prefers_its_opposite(confirm: Confirm) -> None:
    """A reading with the wrong state is mended to the state that was said, and tested again."""
    disarmed = "Door two left disarmed and cross-checked"
    heard = _heard(confirm([ARMED], {ARMED: 20.0, disarmed: 30.0}))
    assert "disarmed" in heard.text
    assert heard.checks is not None
    assert any(c.heard == "disarmed" and c.margin == pytest.approx(10.0) for c in heard.checks)


def test_a_slot_in_doubt_stays_with_its_small_margin(confirm: Confirm) -> None:
    """When the sound hardly prefers either side, the reading stays and its margin tells."""
    disarmed = "Door two left disarmed and cross-checked"
    heard = _heard(confirm([ARMED], {ARMED: 20.0, disarmed: 21.0}))
    assert " armed" in heard.text
    assert heard.checks is not None
    assert min(check.margin for check in heard.checks) == pytest.approx(-1.0)


def test_an_opposite_across_a_word_boundary_lowers_the_margin(confirm: Confirm) -> None:
    """ "is armed" may be "disarmed": the flip takes the word before it along."""
    read = "Door two left is armed and cross-checked"
    supports = {read: 20.0, "Door two left disarmed and cross-checked": 18.5}
    heard = _heard(confirm([read], supports | {ARMED: 17.5}))
    assert heard.checks is not None
    state = next(check for check in heard.checks if check.heard == "armed")
    assert state.margin == pytest.approx(0.5), "1.5 worse than read, but 1.0 better than armed"


def test_an_opposite_across_a_word_boundary_is_taken_when_all_speaks_for_it(
    confirm: Confirm,
) -> None:
    """Where nothing but the opposite fits, a garble of two words becomes the opposite."""
    read = "Door two left this armed and cross-checked"
    disarmed = "Door two left disarmed and cross-checked"
    heard = _heard(confirm([read], {read: 20.0, disarmed: 18.0, ARMED: 5.0}))
    assert heard.text == "Door two left disarmed and cross checked"


def test_a_garble_is_mended_when_the_wording_fits_about_as_well(confirm: Confirm) -> None:
    """An expected wording may cost a little: the decoder expected neither."""
    read = "Turn the grey camp to bypass"
    meant = "Turn the grey cam to bypass"
    assert _heard(confirm([read], {read: 20.0, meant: 17.0})).text == meant
    assert _heard(confirm([read], {read: 20.0, meant: 17.0})).free == read


def test_a_wording_the_sound_does_not_bear_out_is_not_taken(confirm: Confirm) -> None:
    """What fits clearly worse than the reading never replaces it."""
    read = "Turn the grey camp to bypass"
    assert _heard(confirm([read], {read: 20.0, "Turn the grey cam to bypass": 9.0})).text == read


def test_two_garbles_in_one_reading_are_both_mended(confirm: Confirm) -> None:
    """Mends that do not touch are taken together."""
    read = "Check both witness pains show the amber band and the seal lamp is lit"
    one = read.replace("pains", "panes")
    other = read.replace("seal", "sill")
    both = one.replace("seal", "sill")
    heard = _heard(confirm([read], {read: 40.0, one: 38.0, other: 39.0, both: 37.0}))
    assert heard.text == both


def test_a_text_the_sound_does_not_bear_out_is_a_ghost(confirm: Confirm) -> None:
    """Even a procedure's own wording is a ghost when the sound does not support it."""
    ghost = confirm([ARMED], {ARMED: 1.0}, 0.1)
    assert isinstance(ghost, Ghost)
    assert ghost.why.endswith(".")
    assert (ghost.start, ghost.end) == (10.0, 11.5)


def test_sound_without_words_is_a_ghost(confirm: Confirm) -> None:
    """A sound in which nothing was understood is told, not dropped."""
    ghost = confirm([], {})
    assert isinstance(ghost, Ghost)
    assert ghost.text == ""


def test_an_expected_wording_alone_is_never_heard(confirm: Confirm) -> None:
    """Chatter stays chatter, even if every wording of the procedure fitted half as well."""
    read = "My neighbour keeps bees and sells honey"
    supports = {read: 30.0, ARMED: 15.0, "Unfasten the strap at the top of the slide": 14.0}
    assert _heard(confirm([read], supports)).text == read


def test_a_loop_is_not_heard(confirm: Confirm) -> None:
    """What a decoder repeats beyond the time there was is taken out."""
    once = "Unfasten the strap at the top of the slide"
    heard = _heard(confirm([" ".join([once] * 4)], {once: 20.0, f"{once} {once}": 25.0}))
    assert heard.text.split().count("strap") == 1


@pytest.mark.parametrize(("confidence", "kind"), [(0.25, Ghost), (0.6, Heard)])
def test_a_repetition_that_begins_unsurely_is_a_ghost(
    confidence: float,
    kind: type,
    expectation: Expectation,
    language: Language,
    telling: Callable[..., Recogniser],
) -> None:
    """Sobs that are read as "Go, go, go!" would be heard, or a command shouted twice would not."""
    recogniser = telling(["Go, go, go!"], {"Go, go, go!": 10.0}, confidence=confidence)
    segment = Segment(np.zeros(2 * RATE, np.float32), 9.75, 10.0, 11.5, 0.0)
    assert isinstance(Confirmer(recogniser, expectation, language).confirm(segment), kind)


def test_other_readings_are_kept_as_alternatives(confirm: Confirm) -> None:
    """What else the sound could be is there for the reader of the log."""
    heard = _heard(confirm([ARMED, "or two left armed"], {ARMED: 30.0}))
    assert heard.alternatives == ("or two left armed",)
    assert isinstance(heard, Heard)
