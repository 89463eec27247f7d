"""A small drill, and a room in which a runner meets a trainee, with a clock of its own."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from rehearse.book.model import Revision
from rehearse.coach.actions import Action, Finish, GiveCue, Hush, Note, Say, StopListening, Tick
from rehearse.drill.model import (
    END,
    Answer,
    Branch,
    Cue,
    Drill,
    Outcome,
    Role,
    Stage,
    Window,
)
from rehearse.drill.running.answering import Answering
from rehearse.drill.running.runner import Runner
from rehearse.events import (
    CueEnded,
    CueStarted,
    Ended,
    Event,
    Heard,
    PromptEnded,
    PromptStarted,
    SpeechStarted,
)
from rehearse.judge.verdict import Result
from rehearse.language import load

NO_RESULT = Result("drill", 1, False, (), ())
BELTS = "Belts off! Bags down! This way out!"
DEAD = "Door dead! Turn back!"
ACROSS = "Other side! Cross over!"
CUE_SECONDS = 2.0


def drill() -> Drill:
    """The signal; then the slide hangs after four seconds or six, and the door is dead."""
    return Drill(
        id="small",
        title="Small drill",
        aircraft="tarn-240",
        language="en",
        revision=Revision(1, date(2026, 11, 1), "CSM 6.2.1"),
        cast=(Role("lead", "C1", 2),),
        stages=(
            Stage(
                "signal",
                Cue("evacuation-signal", None, "", "", Window(1.0, 4.0)),
                (Answer("belts", BELTS, within=3.0, every=4.0, lasts=6.0, louder=6.0),),
                (
                    Branch("hanging", (Outcome.ANSWERED,)),
                    Branch(END, (Outcome.UNANSWERED, Outcome.WRONG)),
                ),
                never=("Belts on! Bags down! This way out!",),
                gives_up=15.0,
            ),
            Stage(
                "hanging",
                Cue("", None, "lead", "Your slide hangs!", Window(2.0, 2.0)),
                (Answer("dead", DEAD, within=3.0), Answer("across", ACROSS)),
                (Branch(END, tuple(Outcome)),),
                silences=("signal.belts",),
                stop_within=1.0,
                gives_up=10.0,
            ),
        ),
    )


@dataclass
class Room:
    """Runs a drill: prompts and cues take two seconds each; everything that happens is kept."""

    runner: Runner
    now: float = 0.0
    said: list[str] = field(default_factory=list)
    cues: dict[str, float] = field(default_factory=dict)
    events: list[Event] = field(default_factory=list)
    due: list[tuple[float, Event]] = field(default_factory=list)
    listening: bool = True

    def wait(self, seconds: float) -> None:
        """Time goes by, a tenth of a second at a time."""
        until = self.now + seconds
        while self.now < until - 1e-9 and not self.runner.over:
            self.now = round(self.now + 0.1, 3)
            ready = [item for item in self.due if item[0] <= self.now]
            for item in ready:
                self.due.remove(item)
                self._happen(item[1])
            self._happen(Tick(self.now))

    def until_cue(self, stage: str) -> float:
        """Time goes by until the stage's cue has ended; when that was."""
        for _ in range(1000):
            self.wait(0.1)
            ended = [e.time for e in self.events if isinstance(e, CueEnded) and e.stage == stage]
            if ended:
                return ended[-1]
        raise AssertionError(f"the cue of {stage} never came")

    def say(self, text: str, seconds: float = 2.0) -> None:
        """The trainee says something; it is understood half a second after its end."""
        start = self.now
        self._happen(SpeechStarted(start))
        self.wait(seconds + 0.5)
        self._happen(self.runner.read(Heard(start, start + seconds, text)))

    def _happen(self, event: Event | Tick) -> None:
        if not isinstance(event, Tick):
            self.events.append(event)
        self.runner, actions = self.runner.step(self.now, event, NO_RESULT)
        for action in actions:
            self._do(action)

    def _do(self, action: Action) -> None:
        match action:
            case Say(text=text):
                self.said.append(text)
                begun, ended = PromptStarted(self.now, text, "welcome"), PromptEnded(self.now + 2)
                self.due += [(begun.time, begun), (ended.time, ended)]
            case GiveCue(stage=stage, told=told):
                self.cues[stage] = self.now
                cued = CueStarted(self.now, stage, told)
                over = CueEnded(self.now + CUE_SECONDS, stage)
                self.due += [(cued.time, cued), (over.time, over)]
            case Note(event=event):
                self.events.append(event)
            case Hush():
                self.due = [d for d in self.due if isinstance(d[1], PromptEnded)]
            case StopListening():
                self.listening = False
            case Finish(why=why):
                self.events.append(Ended(self.now, why))


def room(seed: int = 1, *, headset: bool = False) -> Room:
    """A room in which the small drill is about to begin."""
    made = drill()
    return Room(Runner(made, seed, Answering(made, load("en")), headset))
