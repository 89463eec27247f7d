"""A practice by voice from end to end: a trainee speaks into a room, and the tool is heard.

The same lesson is given twice at once: in a quiet room, and where the tool's own voice leaks into
the microphone.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.cli import main
from rehearse.events import (
    Heard,
    Judged,
    PromptEnded,
    PromptStarted,
    Requested,
    Restarted,
    SpeechStarted,
)
from rehearse.hear.whisper import Whisper
from rehearse.record.take import Take
from rehearse.weights.store import verified

if TYPE_CHECKING:
    from tests.session.conftest import Ear, Session, SoundServer

    StartServer = Callable[[], SoundServer]
    Practise = Callable[..., Session]

pytestmark = pytest.mark.live

Sound = npt.NDArray[np.float32]
RATE = 16000
AUDIBLE = 0.005  # of full scale
LEAK = -20.0  # dB: the tool's voice in the microphone, against what the loudspeaker plays


@dataclass
class Lesson:
    """What came of one practice.

    said: for each purpose the tool's prompt, as it is in the log and as it sounded.
    understood: what became of each of the trainee's clips.
    """

    said: dict[str, tuple[str, Sound]] = field(default_factory=dict)
    understood: dict[str, dict[str, Any]] = field(default_factory=dict)
    status: int = -1
    screen: str = ""
    complaint: str = ""
    folder: Path = Path()

    @property
    def take(self) -> Take:
        """The take as it lies on the disk."""
        return Take.open(self.folder)


def lesson(session: Session, ear: Ear) -> Lesson:
    """Play the trainee: a wrong step, a hint, over again, two right steps, stop."""
    made = Lesson()

    def hear(purpose: str) -> None:
        since = max(0.0, ear.seconds - 0.5)
        text = session.hear(purpose)
        time.sleep(0.3)  # for what the sound server still holds
        made.said[purpose] = text, ear.sound(since)

    def say(clip: str) -> None:
        made.understood[clip] = session.say(clip)

    hear("welcome")
    say("drum-wrong")
    hear("correction")
    say("hint")
    hear("whole step")  # one rung above the first words, which the correction gave
    say("start-over")
    hear("reply")
    say("flap")
    say("drum-right")
    say("stop")
    hear("debrief")
    made.status = session.end()
    made.screen, made.complaint, made.folder = session.screen(), session.complaint(), session.take
    return made


@pytest.fixture(scope="module")
def lessons(
    sound_server: StartServer, practise: Practise, ear_of: Callable[[SoundServer], Ear]
) -> tuple[Lesson, Lesson]:
    """The lesson in a quiet room, and with the tool's voice leaking into the microphone."""
    servers = [sound_server(), sound_server()]
    servers[1].leak(LEAK)
    given = [(practise(server), ear_of(server)) for server in servers]
    with ThreadPoolExecutor(2) as both:
        quiet, leaking = both.map(lambda pair: lesson(*pair), given)
    return quiet, leaking


@pytest.fixture(scope="module")
def whisper() -> Whisper:
    """The speech model, to hear what the tool says."""
    return Whisper(verified("whisper-base-int8"))


def heard_in(whisper: Whisper, sound: Sound) -> str:
    """What the model hears in a prompt, without being told what to expect."""
    loud = np.flatnonzero(np.abs(sound) > AUDIBLE)
    return words(whisper.free(sound[max(0, loud[0] - RATE // 10) : loud[-1] + RATE // 10])[0].text)


def alike(heard: str, text: str) -> float:
    """The share of the text's words that were heard, 0..1."""
    wanted = words(text).split()
    return sum(word in heard.split() for word in wanted) / len(wanted)


def words(text: str) -> str:
    """Its words alone, in lower case."""
    return " ".join(re.findall(r"[a-z'-]+", text.lower()))


# What the correction says, and the opposite: the sound must bear out the one, not the other.
CORRECTIONS = (
    (
        "You said away from and disarmed, but it is towards and armed",
        "You said towards and armed, but it is away from and disarmed",
    ),
    (
        "Turn the mode drum a quarter turn towards the hinge to armed",
        "Turn the mode drum a quarter turn away from the hinge to disarmed",
    ),
)


def test_a_wrong_critical_step_is_corrected_aloud(
    lessons: tuple[Lesson, Lesson], whisper: Whisper
) -> None:
    """What comes out of the loudspeaker is the correction, and says the right state and side."""
    for made in lessons:
        text, sound = made.said["correction"]
        assert "it is towards and armed" in text
        assert "towards the hinge to armed" in text
        heard = heard_in(whisper, sound)
        assert {"towards", "armed"} <= set(heard.split())
        assert alike(heard, text) > 0.6
        for right, wrong in CORRECTIONS:
            for_right, for_wrong = whisper.support(sound, [right, wrong])
            assert for_right > for_wrong + 5


def test_a_hint_is_given_aloud(lessons: tuple[Lesson, Lesson], whisper: Whisper) -> None:
    """Asked for a hint after the correction, the tool says the step itself."""
    for made in lessons:
        assert made.understood["hint"]["event"] == "Requested"
        text, sound = made.said["whole step"]
        assert "Turn the mode drum a quarter turn towards the hinge to armed" in text
        heard = heard_in(whisper, sound)
        assert "towards" in heard.split()
        assert alike(heard, text) > 0.5


def test_spoken_requests_are_obeyed_and_not_judged(lessons: tuple[Lesson, Lesson]) -> None:
    """Start over and stop do so; no request is taken for a step or for anything extra."""
    for made in lessons:
        events = made.take.events
        requests = [event.request for event in events if isinstance(event, Requested)]
        assert requests == ["hint", "over", "stop"]
        assert sum(isinstance(event, Restarted) for event in events) == 1
        assert {event.text for event in events if isinstance(event, Heard)} == {
            made.understood[clip]["text"] for clip in ("drum-wrong", "flap", "drum-right")
        }


def test_the_take_has_the_wrong_and_then_the_right_saying(
    lessons: tuple[Lesson, Lesson],
) -> None:
    """First the drum is judged wrong; after starting over it is said."""
    for made in lessons:
        judged = [(e.step, e.verdict) for e in made.take.events if isinstance(e, Judged)]
        assert judged == [("drum", "wrong"), ("flap", "said"), ("drum", "said")]


def test_the_report_tells_what_was_said(lessons: tuple[Lesson, Lesson]) -> None:
    """At the end the screen shows the steps that were said, and stderr is silent."""
    for made in lessons:
        assert made.status == 1
        assert "Not passed: 2 said, 3 not said." in made.screen
        verdicts = re.findall(r"^. (said|not said) +(\d)\.", made.screen, re.MULTILINE)
        assert [verdict for verdict, _ in verdicts] == ["said"] * 2 + ["not said"] * 3
        assert "Turn the mode drum" in made.screen.split("Verdict")[1]
        assert (made.folder / "report.html").is_file()
        assert made.complaint == ""


def test_the_debrief_is_heard(lessons: tuple[Lesson, Lesson], whisper: Whisper) -> None:
    """The closing words come out of the loudspeaker and last no more than twenty seconds."""
    for made in lessons:
        text, sound = made.said["debrief"]
        assert text.startswith("You said 2 of 5 steps.")
        assert alike(heard_in(whisper, sound), text) > 0.4
        loud = np.flatnonzero(np.abs(sound) > AUDIBLE)
        assert loud[-1] - loud[0] < 20 * RATE


def test_the_tool_in_its_own_microphone_changes_nothing(lessons: tuple[Lesson, Lesson]) -> None:
    """With prompts leaking in, everything is understood, judged and answered alike."""
    quiet, leaking = lessons
    for clip, row in quiet.understood.items():
        # Two runs' sound differs by more than the leak, so that a word here and there may too.
        assert leaking.understood[clip]["event"] == row["event"]
        assert alike(words(leaking.understood[clip]["text"]), row["text"]) > 0.8
    for made in lessons:
        heard = [event for event in made.take.events if isinstance(event, SpeechStarted)]
        assert len(heard) == len(made.understood)
    assert [(e.step, e.verdict) for e in leaking.take.events if isinstance(e, Judged)] == [
        (e.step, e.verdict) for e in quiet.take.events if isinstance(e, Judged)
    ]
    assert [text for text, _ in leaking.said.values()] == [text for text, _ in quiet.said.values()]


def prompt_level(take: Take) -> float:
    """Level of the microphone's sound while the tool spoke, in dB re full scale."""
    sound = np.concatenate(list(take.sound()))
    starts = [event.time for event in take.events if isinstance(event, PromptStarted)]
    ends = [event.time for event in take.events if isinstance(event, PromptEnded)]
    spoken = [
        sound[int(start * RATE) : int(end * RATE)] for start, end in zip(starts, ends, strict=True)
    ]
    return float(10 * np.log10(np.mean(np.concatenate(spoken) ** 2) + 1e-12))


def test_the_leak_was_real(lessons: tuple[Lesson, Lesson]) -> None:
    """The microphone's sound has the prompts in one take and silence in the other."""
    quiet, leaking = lessons
    assert prompt_level(quiet.take) < -90.0
    played = float(10 * np.log10(np.mean(leaking.said["welcome"][1] ** 2)))
    assert prompt_level(leaking.take) - played == pytest.approx(LEAK, abs=4.0)


def test_prompts_and_speech_share_one_clock(lessons: tuple[Lesson, Lesson]) -> None:
    """Where the log has a prompt, the sound has it, within less than half a second."""
    _, leaking = lessons
    sound = np.abs(np.concatenate(list(leaking.take.sound())))
    for event in leaking.take.events:
        if isinstance(event, PromptStarted) and event.purpose != "debrief":
            since = max(0.0, event.time - 0.3)
            near = sound[int(since * RATE) :][: 2 * RATE]
            audible = np.flatnonzero(near > AUDIBLE * 10 ** (LEAK / 20))
            assert -0.1 < since + audible[0] / RATE - event.time < 0.4


def test_a_kept_take_is_judged_again_as_it_was_live(
    lessons: tuple[Lesson, Lesson], capsys: pytest.CaptureFixture[str]
) -> None:
    """`rehearse score --take` gives the verdicts that were given in the practice."""
    status = main(["score", "--json", "--take", *(str(made.folder) for made in lessons)])
    assert status == 1
    for line in capsys.readouterr().out.splitlines():
        verdicts = {step["id"]: step["verdict"] for step in json.loads(line)["steps"]}
        assert verdicts == {
            "flap": "said",
            "drum": "said",
            "pin": "not_said",
            "panes": "not_said",
            "call": "not_said",
        }
