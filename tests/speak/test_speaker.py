"""The speaker: prompts one after another, each with its events, stopped at once, never lost."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Callable

import numpy as np
import pytest

from rehearse.coach.actions import GiveCue
from rehearse.errors import SoundError, VoiceError
from rehearse.events import CueEnded, CueStarted, PromptEnded, PromptStarted
from rehearse.speak.sound import Rendered
from rehearse.speak.speaker import SilentSpeaker, Speaker

PromptEvent = PromptStarted | PromptEnded
CueEvent = CueStarted | CueEnded
SOUND = Rendered(np.zeros(2205, dtype=np.float32), 22050)


class FakeVoice:
    """Renders anything at once, or fails; `gate` holds it back."""

    def __init__(self, error: VoiceError | None = None) -> None:
        self.error = error
        self.gate = threading.Event()
        self.gate.set()

    def render(self, text: str) -> Rendered:
        """The same sound for every text."""
        assert self.gate.wait(5.0), text
        if self.error:
            raise self.error
        return SOUND


class FakePlayer:
    """Plays until `release` is set or it is cut; fails before or after the first sample."""

    def __init__(self, before: str = "", after: str = "") -> None:
        self.before, self.after = before, after
        self.playing = threading.Event()
        self.release = threading.Event()
        self.closed = threading.Event()
        self.closed.set()

    def play(
        self,
        _: Rendered,
        begun: Callable[[], None],
        cut: threading.Event,
        ended: Callable[[], None] | None = None,
    ) -> bool:
        """As `rehearse.speak.player.Player`; the device is closed only once `closed` is set."""
        if self.before:
            raise SoundError(self.before)
        begun()
        self.playing.set()
        if self.after:
            raise SoundError(self.after)
        while not self.release.is_set() and not cut.is_set():
            time.sleep(0.001)
        if ended is not None and not cut.is_set():
            ended()
        assert self.closed.wait(5.0)
        return not cut.is_set()


class FakeCues:
    """Cues of a tenth of a second, or none; `trouble` is what a person should know."""

    def __init__(self, error: VoiceError | None = None, trouble: str = "") -> None:
        self.error, self.trouble = error, trouble

    def render(self, _cue: GiveCue) -> Rendered:
        """As `rehearse.speak.speaker.Cues`."""
        if self.error:
            raise self.error
        return SOUND


class Stage:
    """A speaker with its events; the clock counts the times it was asked."""

    def __init__(
        self,
        voice: FakeVoice,
        player: FakePlayer,
        cues: FakeCues | None = None,
        tick: float = 1.0,
    ) -> None:
        self.events: list[PromptEvent | CueEvent] = []
        self.voice, self.player = voice, player
        ticks = itertools.count()
        self.speaker = Speaker(
            voice,
            player,
            lambda: next(ticks) * tick,
            self.events.append,
            cues=cues,
            cued=self.events.append,
        )

    def settle(self) -> list[PromptEvent | CueEvent]:
        """Everything reported once the speaker has nothing left to do."""
        until = time.monotonic() + 5.0
        while self.speaker.busy and time.monotonic() < until:
            time.sleep(0.001)
        assert not self.speaker.busy
        self.speaker.close()
        return self.events


def test_says_one_after_another_and_returns_at_once() -> None:
    """Two prompts given together are spoken in turn, each start before its end."""
    stage = Stage(FakeVoice(), FakePlayer())
    stage.speaker.say("One.", "welcome")
    stage.speaker.say("Two.", "nudge")
    assert stage.speaker.busy
    assert stage.player.playing.wait(5.0)
    assert stage.events == [PromptStarted(0.0, "One.", "welcome")]
    stage.player.release.set()
    assert stage.settle() == [
        PromptStarted(0.0, "One.", "welcome"),
        PromptEnded(1.0),
        PromptStarted(2.0, "Two.", "nudge"),
        PromptEnded(3.0),
    ]


def test_stop_cuts_the_prompt_and_forgets_the_rest() -> None:
    """The prompt being spoken ends unfinished; one that waits never begins; later ones do."""
    stage = Stage(FakeVoice(), FakePlayer())
    stage.speaker.say("One.", "welcome")
    stage.speaker.say("Two.", "nudge")
    assert stage.player.playing.wait(5.0)
    stage.speaker.stop()
    stage.speaker.say("Three.", "correction")
    stage.player.release.set()
    assert stage.settle() == [
        PromptStarted(0.0, "One.", "welcome"),
        PromptEnded(1.0, finished=False),
        PromptStarted(2.0, "Three.", "correction"),
        PromptEnded(3.0),
    ]


def test_stop_before_the_sound_is_ready() -> None:
    """A prompt stopped while it is being rendered is neither spoken nor reported."""
    stage = Stage(FakeVoice(), FakePlayer())
    stage.voice.gate.clear()
    stage.speaker.say("One.", "welcome")
    stage.speaker.stop()
    stage.voice.gate.set()
    assert stage.settle() == []


@pytest.mark.parametrize(
    ("voice", "player", "trouble"),
    [
        (FakeVoice(VoiceError("no voice is installed")), FakePlayer(), "no voice is installed"),
        (FakeVoice(), FakePlayer(before="no loudspeaker found"), "no loudspeaker found"),
    ],
    ids=["no voice", "no loudspeaker"],
)
def test_what_cannot_be_spoken_goes_out_as_text(
    voice: FakeVoice, player: FakePlayer, trouble: str
) -> None:
    """Without a voice or a loudspeaker every prompt still begins and ends, with its text."""
    stage = Stage(voice, player)
    stage.speaker.say("What comes next?", "nudge")
    assert stage.settle() == [PromptStarted(0.0, "What comes next?", "nudge"), PromptEnded(1.0)]
    assert stage.speaker.trouble == trouble


def test_a_loudspeaker_lost_in_mid_prompt() -> None:
    """The prompt that broke off is reported as unfinished, and why is known."""
    stage = Stage(FakeVoice(), FakePlayer(after="the loudspeaker takes no sound"))
    stage.speaker.say("One.", "welcome")
    assert stage.settle() == [
        PromptStarted(0.0, "One.", "welcome"),
        PromptEnded(1.0, finished=False),
    ]
    assert stage.speaker.trouble == "the loudspeaker takes no sound"


def test_trouble_passes_when_the_next_prompt_is_heard() -> None:
    """A loudspeaker that was plugged in is used again."""
    stage = Stage(FakeVoice(), FakePlayer(before="no loudspeaker found"))
    stage.speaker.say("One.", "welcome")
    while stage.speaker.busy:
        time.sleep(0.001)
    stage.player.before = ""
    stage.player.release.set()
    stage.speaker.say("Two.", "nudge")
    stage.settle()
    assert stage.speaker.trouble == ""


def test_renders_for_others() -> None:
    """The sound of a text can be had without speaking it."""
    stage = Stage(FakeVoice(), FakePlayer())
    assert stage.speaker.render("One.") is SOUND
    assert stage.settle() == []


def test_close_ends_a_prompt_under_way() -> None:
    """Leaving cuts the prompt and waits for its last event."""
    stage = Stage(FakeVoice(), FakePlayer())
    stage.speaker.say("One.", "welcome")
    assert stage.player.playing.wait(5.0)
    stage.speaker.close()
    stage.speaker.say("Two.", "nudge")
    assert stage.events[-1] == PromptEnded(1.0, finished=False)
    assert not stage.speaker.busy


def test_the_silent_speaker_only_shows() -> None:
    """Text only: each prompt takes no time, and it is never busy."""
    events: list[PromptEvent] = []
    speaker = SilentSpeaker(lambda: 4.0, events.append, trouble="no loudspeaker found")
    speaker.say("What comes next?", "nudge")
    speaker.stop()
    speaker.close()
    assert events == [PromptStarted(4.0, "What comes next?", "nudge"), PromptEnded(4.0)]
    assert not speaker.busy


SIGNAL = GiveCue("signal", "a horn", sound="evacuation-signal")


def test_a_cue_comes_after_what_is_being_said_and_has_its_own_events() -> None:
    """The end of a cue is its start and its length, and is told before the device is closed.

    A trainee must be heard as soon as the cue is over; a device takes a while longer to close.
    """
    stage = Stage(FakeVoice(), FakePlayer(), FakeCues(), tick=0.01)
    stage.speaker.say("One.", "welcome")
    stage.speaker.cue(SIGNAL)
    assert stage.player.playing.wait(5.0)
    stage.player.closed.clear()
    stage.player.release.set()
    time.sleep(0.05)
    assert [type(event) for event in stage.events] == [PromptStarted]
    stage.player.closed.set()
    assert stage.settle() == [
        PromptStarted(0.0, "One.", "welcome"),
        PromptEnded(0.01),
        CueStarted(0.02, "signal", "a horn"),
        CueEnded(0.12, "signal"),
    ]


def test_the_end_of_a_cue_does_not_wait_for_the_device() -> None:
    """While the device is still closing, the end of the cue has been told."""
    stage = Stage(FakeVoice(), FakePlayer(), FakeCues(), tick=0.01)
    stage.player.closed.clear()
    stage.player.release.set()
    stage.speaker.cue(SIGNAL)
    until = time.monotonic() + 5.0
    while len(stage.events) < 2 and time.monotonic() < until:
        time.sleep(0.001)
    assert stage.events == [CueStarted(0.0, "signal", "a horn"), CueEnded(0.1, "signal")]
    assert stage.speaker.busy
    stage.player.closed.set()
    assert len(stage.settle()) == 2


def test_a_device_that_falters_makes_the_cue_end_later() -> None:
    """The trainee can answer only once the sound has been heard, however late the device is."""
    stage = Stage(FakeVoice(), FakePlayer(), FakeCues(), tick=0.5)
    stage.player.release.set()
    stage.speaker.cue(SIGNAL)
    assert stage.settle() == [
        CueStarted(0.0, "signal", "a horn"),
        CueEnded(0.44, "signal", late=0.34),
    ]


def test_a_cue_that_is_stopped_ends_where_it_was_cut() -> None:
    """A drill that is stopped in the middle of the horn must not say that it was given whole."""
    stage = Stage(FakeVoice(), FakePlayer(), FakeCues())
    stage.speaker.cue(SIGNAL)
    assert stage.player.playing.wait(5.0)
    stage.speaker.stop()
    assert stage.settle() == [
        CueStarted(0.0, "signal", "a horn"),
        CueEnded(1.0, "signal", finished=False),
    ]


@pytest.mark.parametrize("cues", [None, FakeCues(VoiceError("no voice is installed"))])
def test_a_cue_that_cannot_be_heard_is_shown(cues: FakeCues | None) -> None:
    """Without a voice the drill goes on in writing, and says why."""
    stage = Stage(FakeVoice(), FakePlayer(), cues)
    stage.speaker.cue(SIGNAL)
    assert stage.settle() == [CueStarted(0.0, "signal", "a horn"), CueEnded(1.0, "signal")]
    assert stage.speaker.trouble


def test_a_cue_in_another_voice_says_so() -> None:
    """Whoever hears the coach in place of a colleague is told why."""
    stage = Stage(FakeVoice(), FakePlayer(), FakeCues(trouble="voice 2 of the cast: none"))
    stage.player.release.set()
    stage.speaker.cue(SIGNAL)
    stage.settle()
    assert stage.speaker.trouble == "voice 2 of the cast: none"


def test_a_silent_speaker_shows_cues() -> None:
    """Nothing is played, and both events come at once."""
    events: list[PromptEvent | CueEvent] = []
    speaker = SilentSpeaker(lambda: 4.0, events.append, cued=events.append)
    speaker.cue(SIGNAL)
    assert events == [CueStarted(4.0, "signal", "a horn"), CueEnded(4.0, "signal")]
