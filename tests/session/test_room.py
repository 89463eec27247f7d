"""The guided half minute in a room that is computed: what it finds, and what it tells instead."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Generator
from dataclasses import dataclass, field

import numpy as np
import pytest

from rehearse.errors import RehearseError, SoundError, VoiceError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk
from rehearse.hear.voice import WINDOW
from rehearse.session import delay, guide, recorder, room
from rehearse.session.recorder import Recorder
from rehearse.session.room import Found, Lengths, Rig, measure
from rehearse.speak.player import resampled
from rehearse.speak.sound import Rendered
from tests.session.arriving import RoomClock

BLOCK = 512
LENGTHS = Lengths(silence=3.0, sentence=8.0, settle=0.2, hold=0.1)
NOISE, VOICE, GAIN, LATE = -60.0, -28.0, -15.0, 0.2


def _hiss(seconds: float, level: float, seed: int = 3) -> Sound:
    chance = np.random.default_rng(seed)
    return chance.normal(0, 10 ** (level / 20), int(seconds * RATE)).astype(np.float32)


def _speech(seconds: float, level: float, seed: int = 5) -> Sound:
    """Noise in syllables, which the detector below takes for a voice."""
    sound = _hiss(seconds, level, seed)
    syllables = (np.arange(sound.size) % (RATE // 4)) < RATE // 6
    return np.asarray(sound * syllables, dtype=np.float32)


@dataclass
class Computed:
    """Air in which a microphone hears its noise, the trainee, and the loudspeaker so much later.

    trainee: what is said when the sentence is shown. gain: of the loudspeaker, None for a headset.
    silent_speaker, no_voice: the loudspeaker or the voice fails. loses_at, breaks_at: the second
    at which the device loses samples, or is gone.

    Its time stands still but while somebody waits for it: a busy machine changes nothing.
    """

    noise: float = NOISE
    trainee: Sound = field(default_factory=lambda: _speech(6.0, VOICE))
    gain: float | None = GAIN
    talks: bool = False
    silent_speaker: bool = False
    no_voice: bool = False
    loses_at: float = float("inf")
    breaks_at: float = float("inf")
    name: str = "computed"

    def __post_init__(self) -> None:
        self.air = _hiss(80.0, self.noise)
        self.at = 0
        self.until = BLOCK
        self.shown: list[str] = []
        self.told: list[str] = []
        self.played: list[Rendered] = []

    def chunks(self) -> Generator[Chunk, None, None]:
        """As `rehearse.hear.source.Source`, faster than the world."""
        loses_at = self.loses_at
        while True:
            now = self.at / RATE
            if now >= self.breaks_at:
                raise SoundError("the microphone stopped; plug it in again")
            if self.at >= self.until:
                time.sleep(0.0005)
                yield Chunk(np.zeros(0, np.float32), now)
                continue
            lost = 0.1 if now >= loses_at else None
            loses_at = float("inf") if lost else loses_at
            yield Chunk(self.air[self.at : self.at + BLOCK].copy(), now, lost)
            self.at += BLOCK

    def add(self, sound: Sound, later: float) -> None:
        """From so much later on it is heard."""
        first = self.at + int(later * RATE)
        self.air[first : first + sound.size] += sound

    def show(self, text: str) -> None:
        """What the guide shows; the trainee does as told."""
        self.shown.append(text)
        if text == room.BE_SILENT and self.talks:
            self.add(_speech(5.0, VOICE), 0.5)
        if self.no_voice or self.silent_speaker:
            self._answer()

    def render(self, text: str) -> Rendered:
        """As `rehearse.speak.voice.Voice`: noise in syllables, other for each text."""
        if self.no_voice:
            raise VoiceError("no voice is installed; install one")
        seconds = 6.0 if text == room.OUR_TURN else 0.5
        return Rendered(_speech(seconds, -20.0, seed=len(text)), RATE)

    def play(
        self,
        sound: Rendered,
        begun: Callable[[], None],
        _cut: threading.Event,
        _ended: Callable[[], None] | None = None,
    ) -> bool:
        """As `rehearse.speak.player.Player`."""
        if self.silent_speaker:
            raise SoundError("no loudspeaker found; connect one")
        begun()
        self.played.append(sound)
        if self.gain is not None:
            heard = resampled(sound, RATE) * np.float32(10 ** (self.gain / 20))
            self.add(heard, LATE)
        self._pass(sound.seconds + 0.4)
        self._answer()
        return True

    def _pass(self, seconds: float) -> None:
        self.until = self.at + int(seconds * RATE)
        patience = time.monotonic() + 20
        while self.at < self.until and time.monotonic() < patience:
            time.sleep(0.0005)

    def _answer(self) -> None:
        """The trainee begins to read when the guide has asked for it."""
        if self.shown[-1] == room.READ:
            self.add(self.trainee, 0.8)

    def probability(self, window: Sound) -> float:
        """As `rehearse.hear.voice.VoiceActivity`: whatever stands well over the noise."""
        power = float(np.mean(window.astype(np.float64) ** 2))
        return float(window.size == WINDOW and 10 * np.log10(max(power, 1e-20)) > NOISE + 12)

    def reset(self) -> None:
        """Nothing to forget."""

    def measured(self) -> Found:
        """What the half minute finds."""
        rig = Rig(self, self, self, self)
        waiting = Recorder.wait

        def wait(heard: Recorder, until: float) -> None:
            self.until = max(self.until, int(until * RATE) + BLOCK)
            waiting(heard, until)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Recorder, "wait", wait)
            return measure(rig, self.show, self.told.append, LENGTHS)


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock that runs with the room, and no time to read."""
    monkeypatch.setattr(recorder, "SoundClock", RoomClock)
    monkeypatch.setattr(delay, "LONGEST", 0.1)
    monkeypatch.setattr(guide, "speaking_seconds", lambda *_: 0.0)


def test_every_stage_measures_its_own_stretch() -> None:
    """The room would be measured from the prompt, or the echo from the trainee."""
    air = Computed()
    found = air.measured()
    assert found.silence.noise.value == pytest.approx(NOISE, abs=0.5)
    assert found.speaking.level.value is not None
    assert found.speaking.over_noise.value == pytest.approx(
        found.speaking.level.value - NOISE, abs=0.5
    )
    assert found.speaking.level.value == pytest.approx(VOICE, abs=2.0)
    assert found.echo.heard
    assert found.echo.gain.value == pytest.approx(GAIN, abs=found.echo.gain.error)
    assert found.echo.delay.value == pytest.approx(LATE, abs=found.echo.delay.error + BLOCK / RATE)
    assert found.latency.value == pytest.approx(LATE, abs=found.latency.error + BLOCK / RATE)
    assert air.told == []
    sentence = f"    {room.SENTENCE}"
    assert air.shown == [room.BE_SILENT, sentence, room.READ, room.OUR_TURN, room.WATER]


def test_through_a_headset_the_ear_piece_is_asked_for() -> None:
    """The latency of a headset would never be measured, or a figure be made up."""
    air = Computed(gain=None)
    found = air.measured()
    assert not found.echo.heard
    assert air.shown[-1] == room.EAR_PIECE
    assert found.latency.value is None
    (line,) = air.told
    assert "heard 0 of 3 sounds; hold an ear piece right to it" in line
    assert found.speaking.level.value is not None, "and all the rest is told"


def test_without_a_voice_it_is_shown_and_measured_all_the_same() -> None:
    """On a machine without a speech engine nothing would be measured."""
    air = Computed(no_voice=True)
    found = air.measured()
    assert air.told == ["no voice is installed; install one"]
    assert room.OUR_TURN in air.shown
    assert found.echo.gain.value == pytest.approx(GAIN, abs=found.echo.gain.error)
    assert found.latency.value is not None


def test_without_a_loudspeaker_the_rest_is_measured() -> None:
    """Whoever only reads the prompts still wants to know about their microphone."""
    air = Computed(silent_speaker=True)
    found = air.measured()
    assert air.told == ["no loudspeaker found; connect one"]
    assert found.speaking.level.value is not None
    assert found.echo.gain.void == found.latency.void == "there is no loudspeaker"


@pytest.mark.parametrize(
    ("air", "line"),
    [
        (lambda: Computed(talks=True), r"a voice was heard for \S+ s while.*; stay silent"),
        (lambda: Computed(trainee=np.zeros(1, "f4")), r"only 0\.\d s of voice.*; read the whole"),
        (lambda: Computed(trainee=_speech(1.5, VOICE)), r"only \S+ s of voice were heard"),
        (
            lambda: Computed(noise=-130.0, trainee=np.zeros(1, "f4"), gain=None),
            "the microphone delivers no sound; switch it on",
        ),
        (lambda: Computed(loses_at=1.5), "lost samples.*; close programs"),
        (lambda: Computed(breaks_at=2.0), "the microphone stopped; plug it in"),
        (lambda: Computed(breaks_at=0.0), "the microphone stopped; plug it in"),
    ],
    ids=["talks", "says nothing", "says a word", "switched off", "loses", "gone", "not there"],
)
def test_what_cannot_be_measured_is_one_line(air: Callable[[], Computed], line: str) -> None:
    """A figure would be told that means nothing, or the half minute would hang."""
    with pytest.raises(RehearseError, match=line) as caught:
        air().measured()
    assert "\n" not in str(caught.value)
    assert ";" in str(caught.value)


def test_a_room_that_drowns_the_voice_is_told_as_such(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody who spoke would be told that they said nothing."""
    air = Computed(noise=-25.0, trainee=_speech(6.0, -40.0))
    monkeypatch.setattr(air, "probability", lambda _window: 0.0)
    with pytest.raises(RehearseError, match=r"too loud to measure: .* -25 dB.*; go where it is"):
        air.measured()
