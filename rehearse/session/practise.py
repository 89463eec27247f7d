"""Practising live: the microphone heard, judged and coached, with everything kept in a take.

One loop owns the coach, the judge and the log. Hearing and speaking run in threads of their own
and put their events into its queue; nothing else is shared.
"""

from __future__ import annotations

import contextlib
import queue
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Protocol, Self, TypeVar

from rehearse.coach.actions import (
    Action,
    Finish,
    GiveCue,
    Hush,
    Note,
    Restart,
    Say,
    StopListening,
    Tick,
)
from rehearse.errors import RehearseError
from rehearse.events import (
    CueStarted,
    Ended,
    Event,
    Heard,
    Judged,
    Partial,
    PromptStarted,
    Restarted,
)
from rehearse.judge.verdict import Result
from rehearse.speak.speaker import Speaks

TICK = 0.1  # seconds between two looks at the clock while nothing happens


@dataclass(frozen=True)
class Interrupt:
    """Somebody at the keyboard wants the practice to end."""


Happening = Event | RehearseError | Interrupt
Happenings = queue.SimpleQueue[Happening]  # of the two queues the one a signal handler may fill
Show = Callable[[Event], None]
Tell = Callable[[str], None]


class Ears(Protocol):
    """What the loop asks of hearing; it puts its events into the loop's queue."""

    def start(self) -> None:
        """Open the source and begin to hear."""
        ...

    def mute(self) -> None:
        """Hear nothing while the tool speaks."""
        ...

    def unmute(self) -> None:
        """Hear again, a short tail from now."""
        ...

    def finish(self) -> None:
        """Take no more sound; what was said until now is still read, and then `Ended` comes."""
        ...

    def close(self) -> None:
        """Stop hearing and release the source."""
        ...


class Leads(Protocol):
    """What decides in a take when to speak and when it ends: the coach, or an oral check."""

    @property
    def over(self) -> bool:
        """The take is over and `Finish` was given."""
        ...

    def read(self, heard: Heard) -> Event:
        """The utterance, or what it is instead of an answer; only a `Heard` is judged."""
        ...

    def step(
        self, now: float, event: Event | Tick, result: Result
    ) -> tuple[Self, tuple[Action, ...]]:
        """What comes after an event, and what is to be done about it."""
        ...


class Judges(Protocol):
    """What the loop asks of a judge; `rehearse.judge.assess.Assessor` is one."""

    def add(self, heard: Heard) -> None:
        """Take in one more utterance."""
        ...

    def restart(self) -> None:
        """Forget everything heard."""
        ...

    def result(self) -> Result:
        """The verdicts on what was heard so far."""
        ...


class Writes(Protocol):
    """Where the loop keeps what happens; `rehearse.record.take.TakeWriter` is one."""

    def write(self, event: Event) -> None:
        """Keep one event. Raises StoreError."""
        ...


LeadsTake = TypeVar("LeadsTake", bound=Leads)


class Practice(Generic[LeadsTake]):
    """One take, from the announcement to its end.

    coach: what leads it.
    happenings: the queue that ears and speaker put their events into.
    clock: seconds from the start of the take.
    show: told every event as it is logged, and the partial texts.
    tell: told, once each, why prompts cannot be heard.
    """

    def __init__(
        self,
        *,
        coach: LeadsTake,
        assessor: Judges,
        ears: Ears,
        speaker: Speaks,
        writer: Writes,
        happenings: Happenings,
        clock: Callable[[], float],
        show: Show,
        tell: Tell,
    ) -> None:
        self._coach = coach
        self._assessor = assessor
        self._ears = ears
        self._speaker = speaker
        self._writer = writer
        self._happenings = happenings
        self._clock = clock
        self._show = show
        self._tell = tell
        self._result = assessor.result()
        self._told = ""
        self._interrupts = 0
        self._listening = True
        self._ending = False
        self._abandoned = False

    @property
    def coach(self) -> LeadsTake:
        """What leads the take, as it stands."""
        return self._coach

    def run(self) -> Result:
        """Runs until the take is over; the verdicts at its end.

        Raises:
            RehearseError: a device failed or the take could not be written; the take is closed
                with what was finished.
        """
        self._ears.start()
        try:
            while not self._coach.over and not self._abandoned:
                self._take_next()
            if self._abandoned:
                self._log(Ended(self._clock(), "stopped"))
        except RehearseError:
            with contextlib.suppress(RehearseError):  # a full disk has no room for this either
                self._log(Ended(self._clock(), "device"))
            raise
        finally:
            self._ears.close()
            self._speaker.close()
        return self._result

    def interrupt(self) -> None:
        """Asks for the debrief and the end; asked again, for the end alone. A signal may call it.

        Raises:
            KeyboardInterrupt: this was already asked for twice.
        """
        self._interrupts += 1
        if self._interrupts > 2:
            raise KeyboardInterrupt
        self._happenings.put(Interrupt())

    def _take_next(self) -> None:
        try:
            happening = self._happenings.get(timeout=TICK)
        except queue.Empty:
            self._take(Tick(self._clock()))
            return
        match happening:
            case RehearseError():
                raise happening
            case Interrupt():
                self._end_soon()
            case Ended() if self._ending:
                self._take(Ended(happening.time, "stopped"))
            case _:
                self._take(happening)

    def _end_soon(self) -> None:
        if self._ending or not self._listening:
            self._abandoned = True
        self._ending = True
        self._speaker.stop()
        self._ears.finish()

    def _take(self, event: Event | Tick) -> None:
        """Logs and judges an event, then does what the coach makes of it."""
        if isinstance(event, Heard):
            event = self._coach.read(event)
        if isinstance(event, PromptStarted | CueStarted):
            self._tell_trouble()
        if isinstance(event, Partial):
            self._show(event)
        elif not isinstance(event, Tick | Ended):
            self._log(event)
        if isinstance(event, Heard):
            self._assessor.add(event)
            self._judge()
        self._coach, actions = self._coach.step(self._clock(), event, self._result)
        for action in actions:
            self._do(action)

    def _tell_trouble(self) -> None:
        """Why what begins can only be read, or sounds otherwise, when that is new."""
        trouble = self._speaker.trouble
        if trouble and trouble != self._told:
            self._tell(trouble)
        self._told = trouble

    def _do(self, action: Action) -> None:
        match action:
            case Say(text=text, purpose=purpose):
                self._speaker.say(text, purpose.value)
            case GiveCue():
                self._speaker.cue(action)
            case Note(event=decided):
                self._log(decided)
            case Hush():
                self._speaker.stop()
            case Restart():
                self._assessor.restart()
                self._result = self._assessor.result()
                self._take(Restarted(self._clock()))
            case StopListening():
                self._listening = False
                self._ears.close()
            case Finish(why=why):
                self._log(Ended(self._clock(), why))

    def _judge(self) -> None:
        """The verdicts anew; those that changed are logged."""
        before, self._result = self._result, self._assessor.result()
        for old, new in zip(before.steps, self._result.steps, strict=True):
            if old.verdict is not new.verdict:
                now = self._clock()
                self._log(Judged(now, new.id, new.verdict.value, new.probability, new.why))

    def _log(self, event: Event) -> None:
        self._writer.write(event)
        self._show(event)
