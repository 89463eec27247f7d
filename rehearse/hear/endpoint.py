"""Where an utterance begins and ends: sound of any chunk size in, speech and segments out.

Decisions are taken window by window of the sample clock, so the same sound gives the same
segments however it was cut into chunks.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from rehearse.events import SpeechStarted
from rehearse.hear import energy
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import WINDOW, VoiceActivity

_SECOND_FRAMES = RATE // energy.FRAME


@dataclass(frozen=True)
class EndpointRule:
    """When speech begins and ends. Seconds, but for the two probabilities.

    voice, still: a window at or over `voice` is speech; once speaking, at or over `still` is.
    least: voiced time that makes an utterance; shorter noises are dropped.
    pause: silence that ends an utterance. Shorter answers quicker and cuts hesitant speakers off.
    longest: an utterance is cut at its quietest point when it grows to this; the recogniser's
        window bounds it.
    before, after: sound kept around the speech for the recogniser.
    tail: the time hearing stays muted after `unmute`, for the room to become quiet.
    """

    voice: float = 0.5
    still: float = 0.35
    least: float = 0.12
    pause: float = 0.6
    longest: float = 20.0
    before: float = 0.25
    after: float = 0.2
    tail: float = 0.3


@dataclass(frozen=True, eq=False)
class Segment:
    """One utterance's sound.

    sound: the speech with a little silence around it.
    time: seconds from the start of the source to the first sample of `sound`.
    start, end: seconds, of the speech itself: its first and its last sound.
    floor: power of the background before the speech.
    """

    sound: Sound
    time: float
    start: float
    end: float
    floor: float


_BACK = 0.3  # seconds the energy may move an onset back before the first voiced window
_CUT_WITHIN = 8.0  # seconds at the end of an overlong utterance that are searched for its cut
_CUT_WIDTH = 12  # frames that must be quiet together for a cut
_FLOOR_SECONDS = 2.0  # background that sets the noise floor


class Endpointer:
    """The state machine. Give it every chunk in order; `finish` once, at the end."""

    def __init__(self, voice: VoiceActivity, rule: EndpointRule | None = None) -> None:
        self._voice = voice
        self._rule = rule or EndpointRule()
        self._waiting = np.zeros(0, np.float32)  # less than a window, not yet judged
        self._kept = np.zeros(0, np.float32)  # judged sound that may still be needed
        self._kept_from = 0  # sample number of its first
        self._background: deque[float] = deque(maxlen=int(_FLOOR_SECONDS * _SECOND_FRAMES))
        self._fed = 0
        self._muted = False
        self._deaf_until = 0
        self._first = -1  # sample number of the first voiced window; -1 when nobody speaks
        self._last = 0  # sample number just after the last voiced window
        self._voiced = 0  # samples of voiced windows
        self._onset = -1  # sample number of the onset, once the utterance is sure

    @property
    def time(self) -> float:
        """Seconds of sound judged so far."""
        return (self._kept_from + self._kept.size) / RATE

    @property
    def quiet(self) -> float:
        """Seconds since the last voiced window; infinite when no utterance is open."""
        if self._onset < 0:
            return float("inf")
        return self.time - self._last / RATE

    def mute(self) -> None:
        """From the next chunk on, the input counts as silence."""
        self._muted = True

    def unmute(self) -> None:
        """Hears again, the rule's `tail` from now."""
        if self._muted:
            self._muted = False
            self._deaf_until = self._fed + int(self._rule.tail * RATE)

    def feed(self, sound: Sound) -> list[SpeechStarted | Segment]:
        """What the next stretch of sound brought, in order."""
        sound = self._heard(sound)
        ready = np.concatenate([self._waiting, sound])
        whole = ready.size // WINDOW * WINDOW
        self._waiting = ready[whole:]
        events: list[SpeechStarted | Segment] = []
        for at in range(0, whole, WINDOW):
            events.extend(self._window(ready[at : at + WINDOW]))
        return events

    def finish(self) -> list[SpeechStarted | Segment]:
        """What the end of the sound brings: the open utterance, closed."""
        events: list[SpeechStarted | Segment] = []
        if self._waiting.size:
            padding = np.zeros(WINDOW - self._waiting.size, np.float32)
            events.extend(self._window(np.concatenate([self._waiting, padding])))
            self._waiting = np.zeros(0, np.float32)
        segment = self.open()
        if segment is not None:
            events.append(segment)
        self._forget()
        return events

    def open(self) -> Segment | None:
        """The utterance in progress, as it would be if it ended now; None when nobody speaks."""
        return None if self._onset < 0 else self._segment(self._last)

    def _heard(self, sound: Sound) -> Sound:
        deaf = sound.size if self._muted else max(0, min(sound.size, self._deaf_until - self._fed))
        self._fed += sound.size
        if deaf:
            sound = sound.copy()
            sound[:deaf] = 0.0
        return sound

    def _window(self, window: Sound) -> list[SpeechStarted | Segment]:
        begin = self._kept_from + self._kept.size
        self._kept = np.concatenate([self._kept, window])
        speaking = self._first >= 0
        probability = self._voice.probability(window)
        if probability >= (self._rule.still if speaking else self._rule.voice):
            if not speaking:
                self._first = begin
            self._last = begin + WINDOW
            self._voiced += WINDOW
        elif not speaking:
            self._background.extend(energy.frame_power(window))
        return self._decide(begin + WINDOW)

    def _decide(self, now: int) -> list[SpeechStarted | Segment]:
        if self._first < 0:
            self._trim(now - int((_BACK + self._rule.before) * RATE))
            return []
        if now - self._last >= self._rule.pause * RATE:
            ended = self.open()
            self._forget()
            return [] if ended is None else [ended]
        if self._onset < 0 and self._voiced >= self._rule.least * RATE:
            self._onset = self._find_onset()
            return [SpeechStarted(self._onset / RATE)]
        if self._onset >= 0 and now - self._onset >= self._rule.longest * RATE:
            return [self._cut(now)]
        return []

    def _floor(self) -> float:
        """Power of the background: the quieter part of the last seconds without a voice."""
        return float(np.percentile(self._background, 30)) if self._background else 0.0

    def _find_onset(self) -> int:
        back = max(self._kept_from, self._first - int(_BACK * RATE))
        power = energy.frame_power(self._kept[back - self._kept_from :])
        # The middle of the first voiced window: silero marks a window by what is in its end too.
        sure = (self._first + WINDOW // 2 - back) // energy.FRAME
        loud = energy.audible(power, self._floor())
        return back + energy.first_sound(loud, min(sure, len(loud) - 1)) * energy.FRAME

    def _find_end(self, last: int) -> int:
        onset = self._onset - self._kept_from
        until = last + int(self._rule.after * RATE) - self._kept_from
        power = energy.frame_power(self._kept[onset:until])
        loud = energy.audible(power, self._floor())
        sure = (last - self._kept_from - onset - WINDOW // 2) // energy.FRAME
        end = energy.last_sound(loud, max(0, sure)) * energy.FRAME
        return self._onset + max(energy.FRAME, end)

    def _segment(self, last: int) -> Segment:
        begin = max(self._kept_from, self._onset - int(self._rule.before * RATE))
        until = last + int(self._rule.after * RATE)
        sound = self._kept[begin - self._kept_from : until - self._kept_from]
        end = self._find_end(last)
        return Segment(sound.copy(), begin / RATE, self._onset / RATE, end / RATE, self._floor())

    def _cut(self, now: int) -> Segment:
        """The utterance up to the quietest point of its last seconds; the rest stays open."""
        begin = max(self._onset + RATE, now - int(_CUT_WITHIN * RATE))
        power = energy.frame_power(self._kept[begin - self._kept_from :])
        at = begin + energy.quietest(power, _CUT_WIDTH) * energy.FRAME
        first = max(self._kept_from, self._onset - int(self._rule.before * RATE))
        sound = self._kept[first - self._kept_from : at - self._kept_from]
        segment = Segment(sound.copy(), first / RATE, self._onset / RATE, at / RATE, self._floor())
        self._trim(at)
        self._first = self._onset = at
        self._last = max(self._last, at)
        return segment

    def _trim(self, sample: int) -> None:
        """Lets go of everything kept before this sample number."""
        if sample > self._kept_from:
            self._kept = self._kept[sample - self._kept_from :].copy()
            self._kept_from = sample

    def _forget(self) -> None:
        self._first = self._onset = -1
        self._voiced = 0
