"""What to change about a room and its devices, and what it costs to leave it: plain sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from rehearse.room.values import Profile

MOST = 2  # sentences that are told: whoever is told five things changes none
_CUT = 0.0002  # share of samples from which the calm baseline of a drill is refused
_UNFIT, _POOR = 10.0, 15.0  # dB over the room: much is left unclear; a calm baseline is refused
_MOSTLY = 3.0  # dB under all of the noise, from which on a hum is half of it
_FAINT = -55.0  # dB: from here down voices go unnoticed, 6 % of one here, a quarter at -65
_WISHED = -40.0  # dB: a calm voice that is neither faint nor cut off when it is raised
_SHOUT = 22.0  # dB of a shout over a calm voice, the middle of people measured
_DROWNED = 6.0  # dB under the room's noise, from which on no voice is understood
_LOUDER = 6.0  # dB by which the tool's voice may be louder than the trainee's


@dataclass(frozen=True)
class Advice:
    """One sentence: what to change, and what it costs if not. grave: it spoils verdicts."""

    text: str
    grave: bool


def advice(profile: Profile) -> tuple[Advice, ...]:
    """What to change, the worst first, at most `MOST`; empty when all is well."""
    every = (*_cut_off(profile), *_over_noise(profile), *_faint(profile), *_muting(profile),
             *_too_loud(profile), *_shouting(profile))  # fmt: skip
    return every[:MOST]


def hears_itself(profile: Profile) -> bool:
    """Whether the microphone hears the tool's own voice so that words of it may be understood."""
    echo, noise = profile.echo, profile.silence.noise
    if not echo.heard:
        return False
    if echo.level.value is None or noise.value is None:
        return True
    return echo.level.value + echo.level.error > noise.value - _DROWNED


def setting(profile: Profile) -> str:
    """Whether these devices are to be used with `--headset` or without it."""
    if hears_itself(profile):
        return (
            "Leave --headset out with these devices: the microphone hears the tool's own voice, "
            "whose words would be taken for yours."
        )
    if profile.echo.at_most is None:
        return "Leave --headset out: whether the microphone hears the tool's own voice is unknown."
    return (
        "Add --headset while you wear headphones: the microphone does not hear the tool, so it may "
        "hear you all the time."
    )


def _cut_off(profile: Profile) -> Iterator[Advice]:
    share = profile.speaking.clipped.value or 0.0
    if share > _CUT:
        yield Advice(
            f"Lower the microphone's input level: {share:.1%} of your calm voice is cut off, so "
            "that words are misheard, and a drill has no level of your voice.",
            grave=True,
        )


def _over_noise(profile: Profile) -> Iterator[Advice]:
    over, level = profile.speaking.over_noise, profile.speaking.level
    if profile.silence.noise.value is None or (over.value is not None and over.value >= _POOR):
        return
    grave = over.value is None or over.value < _UNFIT
    cost = (
        "so that much will be left unclear and must be said again"
        if grave
        else "so that more is left unclear, and the calm baseline of a drill is refused"
    )
    stands = f"is only {over.value:.0f} dB over the room" if over.value is not None else level.void
    stands = stands.removeprefix("the voice ")
    yield Advice(f"{_nearer(profile)}: your voice {stands}, {cost}.", grave)


def _nearer(profile: Profile) -> str:
    hum, noise = profile.silence.hum, profile.silence.noise
    mostly = (
        hum is not None
        and hum.level.value is not None
        and noise.value is not None
        and hum.level.value >= noise.value - _MOSTLY
    )
    if hum is not None and mostly:
        return (
            f"Take another cable, socket or microphone, as most of the noise is {hum.hertz} Hz hum"
        )
    return "Use a headset, come nearer to the microphone, or go where it is quieter"


def _faint(profile: Profile) -> Iterator[Advice]:
    level = profile.speaking.level.value
    if level is not None and level < _FAINT:
        yield Advice(
            f"Raise the microphone's input level by about {_WISHED - level:.0f} dB: your voice is "
            "so faint that some of it goes unnoticed.",
            grave=True,
        )


def _muting(profile: Profile) -> Iterator[Advice]:
    if profile.silence.noise.value is None:
        yield Advice(
            "Switch off the microphone's noise suppression if it has one: it mutes silence, and "
            "may cut off the beginnings of words, from which reactions are timed.",
            grave=False,
        )


def _too_loud(profile: Profile) -> Iterator[Advice]:
    under = profile.echo.under_voice.value
    if hears_itself(profile) and under is not None and under < -_LOUDER:
        yield Advice(
            f"Turn the loudspeaker down by about {-under:.0f} dB: the tool's voice reaches the "
            "microphone so much louder than yours that its last words may be taken for your first.",
            grave=False,
        )


def _shouting(profile: Profile) -> Iterator[Advice]:
    over = profile.speaking.peak + _SHOUT
    if over > 0:
        yield Advice(
            f"For command drills lower the input level by about {math.ceil(over)} dB: a shout is "
            f"some {_SHOUT:.0f} dB over a calm voice and would be cut off, so that its level is "
            "not told.",
            grave=False,
        )
