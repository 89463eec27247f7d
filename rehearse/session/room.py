"""A room and its devices measured in a guided half minute: silence, a sentence, our own voice.

The guide is spoken and shown; without a voice or a loudspeaker it is shown. One recording goes on
from the beginning to the end, and each figure is made from its own stretch of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.cues.echo import LONGEST
from rehearse.cues.sounds import render
from rehearse.errors import RehearseError, SoundError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Source
from rehearse.hear.voice import VoiceActivity
from rehearse.measured import Measured
from rehearse.room.echo import echo, not_played
from rehearse.room.levels import MUTED, level_of
from rehearse.room.silence import silence
from rehearse.room.speaking import LEAST, speaking
from rehearse.room.values import Echo, Silence, Speaking
from rehearse.session import delay
from rehearse.session.guide import Guide, Show
from rehearse.session.recorder import Recorder
from rehearse.speak.player import Player, resampled
from rehearse.speak.sound import Rendered
from rehearse.speak.speaker import Renders

BE_SILENT = "Please stay silent for a few seconds."
READ = "Now read the sentence on the screen aloud, calmly, as you would speak across a table."
SENTENCE = (
    "I speak calmly, as across a table, and I stay where I will sit when I practise. The doors "
    "are closed, the cabin is ready, and nobody is in a hurry."
)
OUR_TURN = (
    "Now it is my turn: this sentence shows how much of my voice your microphone hears. Please "
    "stay silent until it is over."
)
WATER = "At last, water is played three times."
EAR_PIECE = "At last, hold one ear piece right to the microphone: water is played three times."
_STAND_IN, _STAND_IN_SECONDS = "fire", 5.0  # where there is no voice
_SPOKE = 0.5  # seconds of voice in the silence that are more than a cough
_DROWNED = 3.0  # dB over the room: a sentence that adds less was not said, or drowned
_LOUD = -45.0  # dB: a room in which a voice drowns rather than is not there


@dataclass(frozen=True)
class Lengths:
    """Seconds.

    silence, sentence: how long it is listened to.
    settle: for the room to become quiet after the tool has spoken, through a wireless device too.
    hold: to take an ear piece off and hold it to the microphone.
    """

    silence: float = 5.0
    sentence: float = 11.0
    settle: float = 0.8
    hold: float = 4.0


@dataclass(frozen=True)
class Rig:
    """The devices and models that a room is measured with."""

    source: Source
    player: Player
    voice: Renders
    activity: VoiceActivity


@dataclass(frozen=True)
class Found:
    """What was measured. latency: of the two devices, seconds."""

    silence: Silence
    speaking: Speaking
    echo: Echo
    latency: Measured


def measure(rig: Rig, show: Show, tell: Show, lengths: Lengths | None = None) -> Found:
    """Leads through the half minute and returns what was found.

    show: shown every sentence of the guide. tell: told what a person should know and mend.

    Raises:
        RehearseError: the microphone fails or delivers no sound, it was spoken in the silence, or
            the sentence was not said or drowns in the noise of the room.
    """
    with Recorder(rig.source) as heard:
        run = _Run(
            rig, lengths or Lengths(), heard, Guide(rig.voice, rig.player, heard, show, tell)
        )
        still = run.still()
        spoken = run.sentence(still)
        back = run.own_voice(still, spoken)
        return Found(still, spoken, back, run.latency(back))


@dataclass(frozen=True)
class _Run:
    """One half minute, stage by stage."""

    rig: Rig
    lengths: Lengths
    heard: Recorder
    guide: Guide

    def still(self) -> Silence:
        self.guide.say(BE_SILENT)
        found = silence(self._take(self.lengths.silence), self.rig.activity)
        if found.spoken > _SPOKE:
            raise SoundError(
                f"a voice was heard for {found.spoken:.1f} s while it had to be silent; stay "
                "silent, or go where nobody speaks, and measure again"
            )
        return found

    def sentence(self, still: Silence) -> Speaking:
        self.guide.show(f"    {SENTENCE}")
        self.guide.say(READ)
        sound = self._take(self.lengths.sentence)
        found = speaking(sound, still.noise, self.rig.activity)
        if level_of(sound) < MUTED:
            raise SoundError(
                "the microphone delivers no sound; switch it on, or raise its input level, and "
                "measure again"
            )
        if found.spoken < LEAST:
            raise SoundError(_unsaid(found.spoken, level_of(sound), still.noise))
        return found

    def own_voice(self, still: Silence, spoken: Speaking) -> Echo:
        played = self.guide.say(OUR_TURN) or self._stand_in()
        if played is None:
            return not_played("there is no loudspeaker")
        given, sound = played
        end = given + sound.seconds + LONGEST
        self._stretch(given, end)
        samples = resampled(sound, RATE)
        return echo(self.heard.sound, given, samples, spoken.level, still.noise)

    def latency(self, back: Echo) -> Measured:
        if self.guide.silent:
            return Measured(None, 0.0, "there is no loudspeaker")
        self.guide.say(WATER if back.heard else EAR_PIECE)
        if not back.heard:
            now = self.heard.clock()
            self.heard.wait(now + self.lengths.hold)
        try:
            return delay.measured_in(self.heard, self.rig.player)
        except RehearseError as error:
            self.guide.tell(f"the latency was not measured: {error}")
            return Measured(None, 0.0, "the microphone did not hear the water")

    def _stand_in(self) -> tuple[float, Rendered] | None:
        """A computed sound in place of the voice."""
        return self.guide.play(Rendered(*render(_STAND_IN, _STAND_IN_SECONDS)))

    def _take(self, seconds: float) -> Sound:
        """What the microphone hears for so long, once the room has become quiet."""
        start = self.heard.clock() + self.lengths.settle
        return self._stretch(start, start + seconds)

    def _stretch(self, start: float, end: float) -> Sound:
        """The recording between two of its seconds, once it has come so far."""
        self.heard.wait(end)
        if self.heard.lost(start, end):
            raise SoundError(
                "the sound device lost samples while it was measured; close programs that keep "
                "the machine busy and measure again"
            )
        return self.heard.between(start, end)


def _unsaid(spoken: float, level: float, noise: Measured) -> str:
    """Why there is no sentence: the room drowns it, or it was not said."""
    room = noise.value
    if room is not None and room > _LOUD and level < room + _DROWNED:
        return (
            f"the room is too loud to measure: no voice stands out from its {room:.0f} dB over "
            "full scale; go where it is quieter, or lower the input level, and measure again"
        )
    return (
        f"only {spoken:.1f} s of voice were heard; read the whole sentence, nearer to the "
        "microphone, and measure again"
    )
