from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from rehearse.errors import ModelError
from rehearse.hear.recogniser import RATE, Expectation, Sound
from rehearse.hear.whisper import LONGEST, Whisper, levelled

Clip = Callable[[str], Sound]


def test_a_clear_sentence_is_read_without_bias(whisper: Whisper, clip: Clip) -> None:
    """The best free reading of a clear sentence has its words."""
    best = whisper.free(clip("rotate-the-drum"))[0]
    assert "rotate the drum" in best.text.lower()
    assert "hinge side" in best.text


def test_common_words_are_encoded_as_the_model_knows_them(whisper: Whisper) -> None:
    """Words that begin with a space and a "t" are one token: the lost merge is there again."""
    for word in (" the", " to", " this", " two", " three", " turn", " towards"):
        assert len(whisper._tokenizer.encode(word)) == 1, word


def test_spoken_words_fit_better_than_others(whisper: Whisper, clip: Clip) -> None:
    """Support ranks what was said over its opposite, over half of it and over another step."""
    said, opposite, half, other = whisper.support(
        clip("door-two-left-armed"),
        [
            "Door two left armed and cross-checked",
            "Door two left disarmed and cross-checked",
            "Door two left armed",
            "Unfasten the strap at the top of the slide",
        ],
    )
    assert said > opposite + 3
    assert said > half
    assert said > other + 10


def test_punctuation_and_case_take_no_part_in_support(whisper: Whisper, clip: Clip) -> None:
    """No comma decides between two texts."""
    one, other = whisper.support(
        clip("pull-the-red-toggle"),
        ["Pull the red toggle on the inner left", "pull the red toggle, on the INNER left!"],
    )
    assert one == other


def test_support_does_not_depend_on_what_else_is_asked(whisper: Whisper, clip: Clip) -> None:
    """A text has the same support alone and in a batch, first and again."""
    sound = clip("inflate-after")
    text = "Inflate your life vest after you leave the aircraft"
    (alone,) = whisper.support(sound, [text])
    others = [f"Inflate your life vest {word} you leave" for word in ("before", "when", "while")]
    together = whisper.support(sound.copy(), [*others, text])[-1]
    assert together == pytest.approx(alone, abs=0.2)


def test_an_empty_text_has_no_support(whisper: Whisper, clip: Clip) -> None:
    """Nothing said is neither for nor against."""
    assert whisper.support(clip("inflate-after"), ["", "..."]) == (0.0, 0.0)


def test_words_have_times_in_order_within_the_sound(whisper: Whisper, clip: Clip) -> None:
    """Each printed word gets a stretch of the sound; none lies in the silence around it."""
    sound = clip("door-two-left-armed")
    words = whisper.align(sound, "Door two left armed and cross-checked.")
    assert [word.text for word in words] == [
        "Door", "two", "left", "armed", "and", "cross-checked."
    ]  # fmt: skip
    times = [time for word in words for time in (word.start, word.end)]
    assert times == sorted(times)
    assert times[-1] <= sound.size / RATE
    assert words[1].start > 1.0, "the clip begins with a second of silence"
    assert all(0.0 <= word.confidence <= 1.0 for word in words)


def test_a_text_nobody_said_has_little_support_per_word(whisper: Whisper, clip: Clip) -> None:
    """The mean support tells what was said from what was not."""
    sound = clip("fasten-the-strap")
    said = whisper.evidence(sound, "Fasten the strap at the top of the slide")
    unsaid = whisper.evidence(sound, "Door two left armed and cross-checked")
    assert said > 1.0 > unsaid


def test_loudness_does_not_change_what_is_read(whisper: Whisper, clip: Clip) -> None:
    """A whisper forty decibels down reads the same as the calm voice."""
    sound = clip("push-the-red-toggle")
    wanted = whisper.free(sound)[0].text
    assert whisper.free(sound * np.float32(0.01))[0].text == wanted


def test_silence_is_not_read_as_a_wording(whisper: Whisper, expectation: Expectation) -> None:
    """Whatever is decoded from silence, no wording of the procedure is."""
    read = [reading.text.lower() for reading in whisper.free(np.zeros(2 * RATE, np.float32))]
    assert not any(text.lower() in reading for text in expectation.wordings for reading in read)


def test_a_provisional_reading_is_given(
    whisper: Whisper, clip: Clip, expectation: Expectation
) -> None:
    """The open utterance can be read before it ends."""
    sound = clip("check-both-panes")
    assert "witness" in whisper.partial(sound[: 3 * RATE], expectation)


def test_sound_longer_than_the_window_is_refused(whisper: Whisper) -> None:
    """More than one window is a mistake of the caller, not something to cut in silence."""
    with pytest.raises(ValueError, match="longest"):
        whisper.free(np.zeros(int((LONGEST + 1) * RATE), np.float32))


def test_a_folder_without_a_model_is_named(tmp_path: Path) -> None:
    """A missing model is one line that names the folder."""
    with pytest.raises(ModelError, match="cannot be loaded") as caught:
        Whisper(tmp_path)
    assert str(tmp_path) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_is_handed_to_the_recogniser_stays_as_it_was(whisper: Whisper, clip: Clip) -> None:
    """A gain in place would change the take's sound, and every level measured afterwards."""
    sound = clip("turn-to-bypass") * np.float32(0.02)
    before = sound.copy()
    whisper.free(sound)
    whisper.support(sound, ["Turn the grey cam to bypass"])
    whisper.align(sound, "Turn the grey cam to bypass")
    assert np.array_equal(sound, before)
    assert not np.shares_memory(levelled(sound), sound)
    assert np.array_equal(sound, before)


def test_the_model_sees_one_level(
    whisper: Whisper, clip: Clip, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the gain a whisper far from the microphone drowns in the floor of the features."""
    seen: list[Sound] = []
    features = whisper._features

    def spying(sound: Sound, padding: int) -> Sound:
        seen.append(sound.copy())
        return np.asarray(features(sound, padding=padding))

    monkeypatch.setattr(whisper, "_features", spying)
    sound = clip("turn-to-bypass")
    for gain in (0.9, 0.009):
        whisper._encode(sound * np.float32(gain))
    assert seen[0] == pytest.approx(seen[1], abs=1e-4)
    assert float(np.abs(seen[0]).max()) > 0.1
