"""How a practice ends before its time: Ctrl-C once and twice, and a kill in mid-sentence."""

from __future__ import annotations

import json
import signal
import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from rehearse.cli import main
from rehearse.events import Heard
from rehearse.record.take import Take

if TYPE_CHECKING:
    from tests.session.conftest import Session, SoundServer

    StartServer = Callable[[], SoundServer]
    Practise = Callable[..., Session]

pytestmark = pytest.mark.live

RATE = 16000


@pytest.fixture(scope="module")
def server(sound_server: StartServer) -> SoundServer:
    """One sound server for all practices here, which come one after another."""
    return sound_server()


def begun(session: Session) -> Session:
    """A practice with a headset, in which the trainee need not wait for the announcement."""
    session.wait_for("the announcement", lambda row: row["event"] == "PromptStarted")
    return session


def test_ctrl_c_debriefs_with_what_was_just_said(server: SoundServer, practise: Practise) -> None:
    """After Ctrl-C what was said until then is still judged, the debrief comes, then the end."""
    session = begun(practise(server, "--headset", "--loudspeaker", "nowhere"))
    server.speak("flap")
    session.program.send_signal(signal.SIGINT)
    assert session.hear("debrief").startswith("You said 1 of 5 steps.")
    assert session.end() == 1
    assert "1 said, 4 not said" in session.screen()
    assert session.rows()[-1]["why"] == "stopped"


def test_a_second_ctrl_c_ends_at_once(server: SoundServer, practise: Practise) -> None:
    """Ctrl-C in the debrief cuts it short; the report is shown all the same."""
    session = begun(practise(server, "--headset"))
    session.program.send_signal(signal.SIGINT)
    session.wait_for("the debrief", lambda row: row.get("purpose") == "debrief")
    session.program.send_signal(signal.SIGINT)
    assert session.end() == 1
    assert "5 not said" in session.screen()
    assert session.complaint() == ""
    *_, debrief = (row for row in session.rows() if row["event"] == "PromptStarted")
    ended = session.rows()[-1]
    assert (ended["event"], ended["why"]) == ("Ended", "stopped")
    assert ended["time"] - debrief["time"] < 8.0  # all of it takes twelve


def test_a_killed_practice_keeps_all_that_was_finished(
    server: SoundServer, practise: Practise, capsys: pytest.CaptureFixture[str]
) -> None:
    """After `kill -9` in mid-sentence the take opens and is judged; only that sentence is gone."""
    session = begun(practise(server, "--headset"))
    assert session.say("flap")["event"] == "Heard"
    session.wait_for("the verdict", lambda row: row["event"] == "Judged")
    speaking = threading.Thread(target=server.speak, args=("drum-right",))
    speaking.start()
    session.wait_for("the next sentence", lambda row: row["event"] == "SpeechStarted")
    time.sleep(1.0)
    session.program.kill()
    session.program.wait(10)
    speaking.join()

    take = Take.open(session.take)
    assert not take.torn
    heard = [event for event in take.events if isinstance(event, Heard)]
    assert len(heard) == 1
    open_sentence = session.rows()[-1]
    assert open_sentence["event"] == "SpeechStarted"
    assert sum(map(len, take.sound())) / RATE > open_sentence["time"] + 0.5
    assert main(["score", "--json", "--take", str(session.take)]) == 1
    steps = json.loads(capsys.readouterr().out)["steps"]
    assert [step["verdict"] for step in steps] == ["said"] + ["not_said"] * 4
