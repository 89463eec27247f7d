from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.events import SpeechStarted
from rehearse.hear.endpoint import Endpointer, EndpointRule, Segment
from rehearse.hear.recogniser import RATE, Sound


class LoudVoice:
    """Takes everything loud for a voice."""

    def probability(self, window: Sound) -> float:
        """1 for a loud window, 0 for a quiet one."""
        return float(np.sqrt(np.mean(window**2)) > 0.02)

    def reset(self) -> None:
        """Nothing to forget."""


def _silence(seconds: float, level: float = 0.0) -> Sound:
    noise = np.random.default_rng(1).normal(0, 1, int(seconds * RATE))
    return (level * noise).astype(np.float32)


def _voice(seconds: float, level: float = 0.3) -> Sound:
    times = np.arange(int(seconds * RATE)) / RATE
    return (level * np.sin(2 * np.pi * 200 * times)).astype(np.float32)


def _found(
    sound: Sound, sizes: list[int] | None = None, rule: EndpointRule | None = None
) -> list[SpeechStarted | Segment]:
    endpointer = Endpointer(LoudVoice(), rule)
    found = []
    at = 0
    for size in sizes or [sound.size]:
        found.extend(endpointer.feed(sound[at : at + size]))
        at += size
    found.extend(endpointer.feed(sound[at:]))
    return [*found, *endpointer.finish()]


def _shape(found: list[SpeechStarted | Segment]) -> list[tuple[float, ...]]:
    return [
        (item.time,)
        if isinstance(item, SpeechStarted)
        else (item.time, item.start, item.end, item.sound.size, float(np.abs(item.sound).sum()))
        for item in found
    ]


TWO = np.concatenate([_silence(0.9), _voice(1.0), _silence(0.8), _voice(0.5), _silence(1.0)])


def test_each_stretch_of_speech_becomes_one_segment() -> None:
    """Two stretches with a long pause between them are two utterances, each announced."""
    kinds = [type(item) for item in _found(TWO)]
    assert kinds == [SpeechStarted, Segment, SpeechStarted, Segment]


def test_onset_and_end_are_those_of_the_sound_itself() -> None:
    """The times come from the energy, to a few hundredths of a second."""
    started, segment = _found(TWO)[:2]
    assert isinstance(segment, Segment)
    assert started.time == pytest.approx(0.9, abs=0.02)
    assert segment.start == started.time
    assert segment.end == pytest.approx(1.9, abs=0.03)


def test_a_segment_holds_its_speech_and_a_little_silence_around_it() -> None:
    """Nothing of the speech is cut off, and little silence is left for a decoder to fill."""
    segment = next(item for item in _found(TWO) if isinstance(item, Segment))
    assert segment.time == pytest.approx(segment.start - 0.25, abs=0.02)
    begin = round(segment.time * RATE)
    assert np.array_equal(segment.sound, TWO[begin : begin + segment.sound.size])
    assert 0.1 < segment.time + segment.sound.size / RATE - segment.end < 0.3


def test_a_soft_beginning_before_the_first_voiced_window_belongs_to_the_speech() -> None:
    """A hiss too soft for the voice detector moves the onset back to where it begins."""
    hiss = _silence(0.12, level=0.012)
    sound = np.concatenate([_silence(1.0, level=0.0005), hiss, _voice(0.6), _silence(1.0)])
    started = _found(sound)[0]
    assert started.time == pytest.approx(1.0, abs=0.03)


def test_noise_under_the_voice_does_not_move_the_onset() -> None:
    """Steady background before the speech is no part of it."""
    background = _silence(4.0, level=0.01)
    background[2 * RATE : 3 * RATE] += _voice(1.0)
    assert _found(background)[0].time == pytest.approx(2.0, abs=0.03)


def test_a_short_click_is_no_utterance() -> None:
    """What lasts less than the least speech is dropped without a word."""
    sound = np.concatenate([_silence(1.0), _voice(0.05), _silence(1.5)])
    assert _found(sound) == []


def test_a_pause_shorter_than_the_rule_keeps_one_utterance() -> None:
    """Hesitating for half a second does not end an utterance; a shorter rule ends it."""
    sound = np.concatenate([_silence(0.5), _voice(0.6), _silence(0.5), _voice(0.6), _silence(1.0)])
    assert len(_found(sound)) == 2
    assert len(_found(sound, rule=EndpointRule(pause=0.3))) == 4


def test_speech_at_the_end_of_the_sound_is_not_lost() -> None:
    """An utterance that the end of the recording cuts off is still given."""
    sound = np.concatenate([_silence(0.5), _voice(1.0)])
    segment = _found(sound)[-1]
    assert isinstance(segment, Segment)
    assert segment.end == pytest.approx(1.5, abs=0.03)


def test_an_overlong_utterance_is_cut_at_its_quietest_point() -> None:
    """A monologue becomes several segments that meet in a dip and lose no sample."""
    parts = [_silence(0.5)]
    for _ in range(12):
        parts += [_voice(2.3), _voice(0.2, level=0.04)]
    sound = np.concatenate([*parts, _silence(1.0)])
    found = [item for item in _found(sound) if isinstance(item, Segment)]
    assert len(found) >= 2
    assert all(segment.end - segment.start <= 20.1 for segment in found)
    for one, two in pairwise(found):
        assert two.start == one.end
        within = (one.end - 0.5) % 2.5
        assert 2.3 <= within <= 2.5, "the cut lies in a dip"


def test_a_long_monologue_is_kept_in_bounded_memory() -> None:
    """Three minutes without a pause leave no more than one utterance in memory."""
    endpointer = Endpointer(LoudVoice())
    second = _voice(1.0)
    for _ in range(180):
        endpointer.feed(second)
        assert endpointer._kept.size <= 22 * RATE


def test_muted_sound_counts_as_silence() -> None:
    """What comes while the tool speaks is not heard, nor in the short tail after it."""
    endpointer = Endpointer(LoudVoice(), EndpointRule(tail=0.3))
    endpointer.mute()
    found = list(endpointer.feed(_voice(2.0)))
    endpointer.unmute()
    found += endpointer.feed(_voice(0.25))
    found += endpointer.feed(_silence(1.0))
    found += endpointer.finish()
    assert found == []


def test_speech_after_the_tail_is_heard() -> None:
    """The first word after the tail is an utterance of its own."""
    endpointer = Endpointer(LoudVoice(), EndpointRule(tail=0.3))
    endpointer.mute()
    endpointer.feed(_voice(1.0))
    endpointer.unmute()
    found = [
        *endpointer.feed(np.concatenate([_silence(0.5), _voice(0.6), _silence(1.0)])),
        *endpointer.finish(),
    ]
    assert [type(item) for item in found] == [SpeechStarted, Segment]
    assert found[0].time == pytest.approx(1.5, abs=0.03)


def test_muting_ends_the_utterance_in_progress() -> None:
    """When the tool begins to speak, what was said before it is still given."""
    endpointer = Endpointer(LoudVoice())
    endpointer.feed(np.concatenate([_silence(0.5), _voice(0.8)]))
    endpointer.mute()
    found = endpointer.feed(_voice(1.0))
    assert [type(item) for item in found] == [Segment]
    segment = found[0]
    assert isinstance(segment, Segment)
    assert segment.end == pytest.approx(1.3, abs=0.05)


def test_the_open_utterance_is_what_its_segment_will_be() -> None:
    """Once it is quiet, the utterance in progress equals the segment that comes at the end."""
    endpointer = Endpointer(LoudVoice())
    endpointer.feed(np.concatenate([_silence(0.5), _voice(1.0), _silence(0.35)]))
    early = endpointer.open()
    assert early is not None
    assert endpointer.quiet >= 0.25
    late = endpointer.feed(_silence(0.5))[0]
    assert isinstance(late, Segment)
    assert _shape([early]) == _shape([late])


@settings(max_examples=40)
@given(st.lists(st.integers(1, 9000), max_size=40))
def test_chunk_sizes_change_nothing(sizes: list[int]) -> None:
    """The same sound gives the same segments however it is cut into chunks."""
    assert _shape(_found(TWO, sizes)) == _shape(_found(TWO))


def test_real_speech_is_one_segment(
    clip: Callable[[str], Sound], segments: Callable[[Sound], list[Segment]]
) -> None:
    """The real voice detector finds a real sentence whole, where it begins."""
    found = segments(clip("door-two-left-armed"))
    assert len(found) == 1
    assert 1.0 <= found[0].start <= 1.6
    assert 1.5 <= found[0].end - found[0].start <= 3.0
