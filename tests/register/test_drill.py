"""A recall drill by voice, as a state machine with a clock of its own."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from rehearse.coach.actions import Action, Finish, Say, StopListening, Tick
from rehearse.events import Ended, Event, Heard, PromptEnded, PromptStarted, SlotCheck
from rehearse.judge.verdict import Result
from rehearse.language.english import English
from rehearse.register.asking import questions
from rehearse.register.drill import ANSWERED_AFTER, SILENT_AFTER, Drill
from rehearse.register.model import Register
from rehearse.register.scoring import Answers

NO_RESULT = Result("recall", 1, False, (), ())


@dataclass
class Room:
    """Runs a drill: every prompt takes two seconds; `said` keeps what was spoken."""

    drill: Drill
    now: float = 0.0
    said: list[str] = field(default_factory=list)
    ended: str = ""

    def happen(self, event: Event | Tick) -> None:
        """One event, and all that follows from it."""
        self.drill, actions = self.drill.step(self.now, event, NO_RESULT)
        for action in actions:
            self._do(action)

    def _do(self, action: Action) -> None:
        match action:
            case Say(text=text):
                self.said.append(text)
                self.happen(PromptStarted(self.now, text, "reply"))
                self.now += 2.0
                self.happen(PromptEnded(self.now))
            case Finish(why=why):
                self.ended = why

    def wait(self, seconds: float) -> None:
        """Time goes by."""
        for _ in range(int(seconds * 10)):
            self.now += 0.1
            self.happen(Tick(self.now))

    def say(self, text: str) -> None:
        """The trainee says something; it takes a second."""
        self.now += 1.0
        self.happen(self.drill.read(Heard(self.now - 1.0, self.now, text)))


@pytest.fixture
def room(small: Register) -> Room:
    """A drill of two questions that has begun."""
    pool = {question.id: question for question in questions(small)}
    asked = (pool["contents-locker"], pool["takers-megaphone"])
    room = Room(Drill(small, asked, Answers(small, English()).result))
    room.wait(0.2)
    return room


def test_welcome(room: Room) -> None:
    """If this fails, a drill begins without its notice or its first question."""
    assert "training aid" in room.said[0]
    assert room.said[0].endswith("Station one left aft: what is there?")


def test_right_then_wrong(room: Room) -> None:
    """If this fails, answers are told wrongly, or a mistake goes uncorrected."""
    room.say("two torches")
    room.wait(1)
    room.say("and a megaphone")
    room.wait(ANSWERED_AFTER + 0.2)
    assert room.said[1] == "Right. Which position takes the megaphone?"
    room.say("C2")
    room.wait(ANSWERED_AFTER + 0.2)
    assert room.said[2].startswith("Not right. You named C2, which is not part of the answer.")
    assert "The answer is: C1." in room.said[2]
    assert room.said[2].endswith("1 of 2 answers were right.")
    assert room.ended == "finished"
    assert [result.passed for result in room.drill.results] == [True, False]


def test_next_ends_an_answer_at_once(room: Room) -> None:
    """If this fails, a quick trainee must sit through the pause."""
    room.say("two torches and a megaphone")
    room.say("next")
    assert room.said[-1].startswith("Right.")


def test_unclear_sound_is_asked_for_once(room: Room) -> None:
    """If this fails, unclear sound is a mistake at once, is credited, or is asked for for ever."""
    unclear = tuple(SlotCheck(at, 1, "", "", 0.5) for at in range(5))
    for _ in range(2):
        room.now += 2.0
        heard = Heard(room.now - 2.0, room.now, "two torches and a megaphone", checks=unclear)
        room.happen(room.drill.read(heard))
        room.wait(ANSWERED_AFTER + 0.2)
    assert room.said[1].startswith("I could not make that out for certain.")
    assert room.said[2].startswith("Not complete.")
    assert not room.drill.results[0].passed


def test_unclear_sound_made_clear(room: Room) -> None:
    """If this fails, saying it again clearly does not help."""
    unclear = tuple(SlotCheck(at, 1, "", "", 0.5) for at in range(5))
    room.now += 2.0
    room.happen(Heard(room.now - 2.0, room.now, "two torches and a megaphone", checks=unclear))
    room.wait(ANSWERED_AFTER + 0.2)
    room.say("two torches and a megaphone")
    room.wait(ANSWERED_AFTER + 0.2)
    assert room.said[2].startswith("Right.")


def test_silence_is_no_answer(room: Room) -> None:
    """If this fails, a drill waits for ever or credits silence."""
    room.wait(SILENT_AFTER + 0.2)
    assert room.said[1].startswith("Not complete. The answer is: One megaphone and two torches.")
    assert not room.drill.results[0].passed


def test_say_again(room: Room) -> None:
    """If this fails, a question that was not understood cannot be heard again."""
    room.say("say that again")
    assert room.said[-1] == "Station one left aft: what is there?"
    assert not room.drill.results


def test_stop(room: Room) -> None:
    """If this fails, a trainee cannot end the drill, or loses what was answered."""
    room.say("two torches and a megaphone")
    room.say("next")
    room.say("stop")
    assert room.said[-1] == "1 of 1 answers were right."
    assert room.ended == "stopped"


def test_end_of_sound_keeps_the_answer(room: Room) -> None:
    """If this fails, an answer in progress is lost when the sound ends."""
    room.say("two torches and a megaphone")
    room.happen(Ended(room.now, "end of recording"))
    assert [result.passed for result in room.drill.results] == [True]


def test_listening_stops_before_the_last_words(room: Room) -> None:
    """If this fails, the tool hears its own closing words as an answer."""
    room.say("next")
    drill, actions = room.drill.step(room.now, room.drill.read(Heard(9, 10, "stop")), NO_RESULT)
    assert isinstance(actions[0], StopListening)
    assert drill.read(Heard(11, 12, "anything")) == Heard(11, 12, "anything")
