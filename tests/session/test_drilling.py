"""Drills on real devices: cues heard through a room, a change answered, sound that is lost.

Two at once: through a loudspeaker that the microphone hears, and through a headset with a reader
that stalls once.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from rehearse.cli import main
from rehearse.coach.actions import GiveCue
from rehearse.cues.echo import heard, heard_at
from rehearse.drill.files.reader import read_drill
from rehearse.drill.model import Drill
from rehearse.drill.running.giving import cue
from rehearse.events import (
    CueEnded,
    CueHeard,
    CueStarted,
    Ended,
    Event,
    Ghost,
    Heard,
    Overflow,
    SpeechStarted,
    StageOver,
)
from rehearse.record.drill_take import DrillTake
from rehearse.session.drilling import LONGEST_SOUND
from rehearse.speak.cast import Cast
from rehearse.speak.cueing import Cueing
from rehearse.speak.player import resampled
from rehearse.speak.voice import Voice
from tests.session.conftest import PATIENCE, SOUNDS, Session

if TYPE_CHECKING:
    from tests.session.conftest import Ear, SoundServer

    StartServer = Callable[[], SoundServer]

pytestmark = pytest.mark.live

HERE = Path(__file__).parent
FILE = HERE / "two-calls.yaml"
RATE = 16000
HELD = 400  # milliseconds of a clip that the sound server holds
LEAK = -10.0  # dB: the loudspeaker in the microphone, against what it plays
SEED = "7"

Sound = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Done:
    """A drill that was done. spoken: seconds of sound from the loudspeaker after its end.

    measured: what came of measuring the latency of the same devices afterwards.
    """

    folder: Path
    status: int
    screen: str
    complaint: str
    measured: subprocess.CompletedProcess[str]
    spoken: float = 0.0

    @property
    def take(self) -> DrillTake:
        """Its take."""
        return DrillTake.open(self.folder)

    def events(self, kind: type[Event]) -> list[Any]:
        """What happened of one kind."""
        return [event for event in self.take.events if isinstance(event, kind)]

    @property
    def result(self) -> dict[str, Any]:
        """The result in the take's folder."""
        found: dict[str, Any] = json.loads((self.folder / "result.json").read_text("utf-8"))
        return found

    def answer(self, name: str) -> dict[str, Any]:
        """What became of an answer."""
        every = [answer for stage in self.result["stages"] for answer in stage["answers"]]
        (found,) = [answer for answer in every if answer["answer"] == name]
        return dict(found)


def wait_cue(session: Session, stage: str) -> None:
    """Until the cue of the stage is over, and as long as the quickest need to answer."""
    session.wait_for(
        f"end of the cue {stage}",
        lambda row: row["event"] == "CueEnded" and row["stage"] == stage,
    )
    time.sleep(0.25)


def through_a_loudspeaker(session: Session, ear: Ear) -> Done:
    """Everything right: the command, and after the change the new one for as long as it takes."""
    wait_cue(session, "signal")
    session.server.speak("belts", HELD)
    wait_cue(session, "filling")
    for _ in range(3):
        session.server.speak("filling", HELD)
        time.sleep(0.9)
    session.wait_for("the end", lambda row: row["event"] == "Ended")
    since = ear.seconds
    status = session.end()
    sound = np.abs(ear.sound(since))
    spoken = float(np.mean(sound > 0.005)) * len(sound) / RATE
    measured = latency_of(session)
    return Done(session.take, status, session.screen(), session.complaint(), measured, spoken)


def through_a_headset(session: Session, stall: Path) -> Done:
    """The first command right; after the change the reader stalls, and the trainee stops it."""
    session.wait_for("the welcome", lambda row: row["event"] == "PromptStarted")
    session.server.speak("belts", HELD)  # whoever speaks into the welcome has heard it before
    wait_cue(session, "signal")
    session.server.speak("belts", HELD)
    wait_cue(session, "filling")
    stall.touch()
    time.sleep(6.0)
    session.server.speak("filling", HELD)
    session.wait_for(
        "the new command", lambda row: row["event"] == "Heard" and "filling" in row["text"]
    )
    session.server.speak("end-drill", HELD)
    status = session.end()
    measured = latency_of(session)
    return Done(session.take, status, session.screen(), session.complaint(), measured)


def latency_of(session: Session) -> subprocess.CompletedProcess[str]:
    """What `rehearse drill --latency` says on the session's devices."""
    return subprocess.run(
        [sys.executable, "-m", "rehearse", "drill", "--latency"],
        env=session.server.environment,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )


@pytest.fixture(scope="module")
def done(
    sound_server: StartServer,
    ear_of: Callable[[SoundServer], Ear],
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[tuple[Done, Done]]:
    """A drill through a loudspeaker, and one through a headset with a stalled reader."""
    folder = tmp_path_factory.mktemp("drills")
    stall = folder / "stall"
    servers = [sound_server(), sound_server()]
    servers[0].leak(LEAK)
    command = ("drill", str(FILE), "--seed", SEED)
    sessions = [
        Session(servers[0], folder / "loudspeaker", command=command),
        Session(
            servers[1],
            folder / "headset",
            "--headset",
            command=command,
            program=(str(HERE / "stalling.py"), str(stall)),
        ),
    ]
    try:
        with ThreadPoolExecutor(2) as both:
            ear, _ = [ear_of(server) for server in servers]  # a sink that nobody hears sleeps
            first = both.submit(through_a_loudspeaker, sessions[0], ear)
            second = both.submit(through_a_headset, sessions[1], stall)
            yield first.result(), second.result()
    finally:
        for session in sessions:
            session.close()


def heard_in(take: DrillTake) -> Sound:
    """All that the microphone heard."""
    return np.concatenate(list(take.sound()))


def place(sound: Sound, samples: Sound, since: float) -> float:
    """The second at which these samples are in the sound, by their shape alone."""
    found = heard_at(sound, since, samples, RATE)
    assert found is not None
    return found


def clip(name: str) -> Sound:
    """One of the trainee's clips."""
    return np.asarray(soundfile.read(SOUNDS / f"{name}.flac", dtype="float32")[0])


def played(given: GiveCue) -> Sound:
    """A cue as a drill through a loudspeaker plays it."""
    cast = Cast(Voice("en"))
    try:
        return resampled(Cueing(cast, LONGEST_SOUND).render(given), RATE)
    finally:
        cast.close()


def test_a_change_in_mid_drill_is_answered_and_passes(done: tuple[Done, Done]) -> None:
    """Both cues were given in the plan's order, both answered, nothing was held against it."""
    loud, _ = done
    assert [event.stage for event in loud.events(CueStarted)] == ["signal", "filling"]
    assert [event.outcome for event in loud.events(StageOver)] == ["answered", "answered"]
    assert loud.events(Ended)[-1].why == "finished"
    assert loud.result["passed"], loud.result
    assert loud.status == 0
    assert loud.answer("filling.filling")["count"] == 3


def test_the_cues_in_the_microphone_never_count_as_speech(done: tuple[Done, Done]) -> None:
    """The microphone heard both cues loudly; all that was understood are the trainee's clips."""
    loud, _ = done
    sound = heard_in(loud.take)
    for begun, ended in zip(loud.events(CueStarted), loud.events(CueEnded), strict=True):
        inside = sound[int((begun.time + 0.3) * RATE) : int(ended.time * RATE)]
        assert 10 * np.log10(np.mean(inside.astype(np.float64) ** 2)) > -40
        for event in (*loud.events(Heard), *loud.events(Ghost)):
            assert not begun.time <= event.start <= ended.time
        for event in loud.events(SpeechStarted):
            assert not begun.time <= event.time <= ended.time
    assert len(loud.events(Heard)) == 4
    assert loud.events(Ghost) == []


def test_the_reaction_is_that_of_the_sound_itself(done: tuple[Done, Done]) -> None:
    """Cue and shout are found in the recording by their shapes: the time between them is the truth.

    The tool counts from the end of the cue as it was heard, and says how far it may be off.
    """
    loud, _ = done
    take = loud.take
    sound = heard_in(take)
    drill: Drill = read_drill(FILE)
    assert len(loud.events(CueHeard)) == 2
    for stage, name, answer in (
        ("signal", "belts", "signal.belts"),
        ("filling", "filling", "filling.filling"),
    ):
        (begun,) = [event for event in loud.events(CueStarted) if event.stage == stage]
        (ended,) = [event for event in loud.events(CueEnded) if event.stage == stage]
        given = played(cue(drill, stage))
        found = heard(sound, begun.time, given, RATE)
        assert found is not None
        truth = place(sound, clip(name), ended.time) - found[1]
        told = loud.answer(answer)["reaction"]
        assert told["value"] == pytest.approx(truth, abs=told["error"] + 0.02)
        assert told["error"] < 0.08


def test_the_debrief_is_spoken_and_shown(done: tuple[Done, Done]) -> None:
    """It comes from the loudspeaker after the drill, for at most twenty-five seconds."""
    loud, _ = done
    assert "One thing to" in " ".join(loud.screen.split()) or "to keep" in loud.screen
    assert 1.0 < loud.spoken < 25.0


def test_the_take_holds_the_result_and_its_picture(done: tuple[Done, Done]) -> None:
    """What was told can be looked at again."""
    for one in done:
        assert (one.folder / "drill.svg").read_text("utf-8").startswith("<")
        assert (one.folder / "drill.png").read_bytes().startswith(b"\x89PNG")
        assert one.result["notice"]
        assert str(one.folder) in one.screen


def test_a_take_scored_again_gives_the_same_bytes(
    done: tuple[Done, Done], capsys: pytest.CaptureFixture[str]
) -> None:
    """Twice from the take, and as it was told after the drill."""
    folders = [str(one.folder) for one in done]
    printed = []
    for _ in range(2):
        main(["drill", "--take", *folders, "--json"])
        printed.append(capsys.readouterr().out)
    assert printed[0] == printed[1]
    for one, line in zip(done, printed[0].splitlines(), strict=True):
        row = json.loads(line)
        assert row.pop("file") == str(one.folder)
        assert row == one.result


def test_lost_sound_is_reported_and_voids_only_what_it_touched(done: tuple[Done, Done]) -> None:
    """The command before it keeps its times; the one that the loss lies before has none."""
    _, quiet = done
    (lost,) = quiet.events(Overflow)
    assert lost.seconds == pytest.approx(2.0, abs=0.8)  # five seconds stalled, three were held
    assert "some sound was lost" in quiet.screen
    assert len(quiet.result["lost"]) == 1
    before, after = quiet.answer("signal.belts"), quiet.answer("filling.filling")
    assert before["verdict"] == after["verdict"] == "said"
    assert before["reaction"]["value"] is not None
    assert after["reaction"]["value"] is None
    assert "lost" in after["reaction"]["void"]
    assert after["level"]["value"] is not None


def test_a_drill_is_stopped_by_voice(done: tuple[Done, Done]) -> None:
    """ "End the drill" ends it at once, however much is still to come, and it is not passed."""
    _, quiet = done
    assert quiet.events(Ended)[-1].why == "stopped"
    assert quiet.result["why_ended"] == "stopped"
    assert quiet.status == 1


def test_through_a_headset_nothing_of_the_tool_is_heard(done: tuple[Done, Done]) -> None:
    """The microphone heard no cue, so the devices' own figure stands, with its error."""
    _, quiet = done
    assert quiet.events(CueHeard) == []
    assert quiet.take.run.latency.error >= 0.1
    assert quiet.answer("signal.belts")["reaction"]["error"] >= 0.1


def test_the_latency_of_devices_is_measured_once(done: tuple[Done, Done]) -> None:
    """It is what the drill on the same devices found by its cues, and it is kept for the next."""
    loud, _ = done
    assert loud.measured.returncode == 0, loud.measured.stderr
    (told,) = re.findall(r"Heard (\S+) ± (\S+) s", loud.measured.stdout)
    value, error = map(float, told)
    assert error < 0.05
    assert value == pytest.approx(loud.take.run.latency.value, abs=error + 0.01)


def test_a_latency_is_not_made_up(done: tuple[Done, Done]) -> None:
    """Where the microphone does not hear the headset, one line says what to do."""
    _, quiet = done
    assert quiet.measured.returncode == 2
    (line,) = quiet.measured.stderr.splitlines()
    assert "heard 0 of 3 sounds; hold an ear piece right to it" in line
    assert "'rehearse drill --latency'" in quiet.complaint


def test_a_kept_take_needs_nothing_but_itself(
    done: tuple[Done, Done], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Copied elsewhere, it gives the same result, and still when its sound has been deleted."""
    loud, _ = done
    copy = Path(shutil.copytree(loud.folder, tmp_path / "copy"))
    for _ in range(2):
        assert main(["drill", "--take", str(copy), "--json"]) == 0
        printed = capsys.readouterr()
        row = json.loads(printed.out)
        row.pop("file")
        assert row == loud.result
        (copy / "sound.flac").unlink(missing_ok=True)
    assert "its sound has been deleted" in printed.err
