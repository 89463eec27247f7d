"""Devices that are missing, or go away in mid-take: one clear line, and nothing is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from rehearse.events import Ended, Heard
from rehearse.record.take import Take

if TYPE_CHECKING:
    from tests.session.conftest import Session, SoundServer

    StartServer = Callable[[], SoundServer]
    Practise = Callable[..., Session]

pytestmark = pytest.mark.live


def only_line(session: Session) -> str:
    """The one line on stderr."""
    (line,) = session.complaint().splitlines()
    assert line.startswith("rehearse: ")
    return line


def test_without_a_microphone_no_take_is_begun(
    sound_server: StartServer, practise: Practise
) -> None:
    """No device: one line with the mend, status 2, and nothing new on the disk."""
    server = sound_server()
    server.close()
    session = practise(server)
    assert session.end() == 2
    assert "no microphone found; plug a microphone in" in only_line(session)
    assert session.screen() == ""
    assert not session.takes.exists()


def test_a_microphone_that_is_not_there_by_name(
    sound_server: StartServer, practise: Practise
) -> None:
    """A device of another name is not taken for it."""
    session = practise(sound_server(), "--microphone", "nowhere")
    assert session.end() == 2
    assert "no microphone named 'nowhere'" in only_line(session)
    assert not session.takes.exists()


def test_a_microphone_unplugged_in_mid_take(sound_server: StartServer, practise: Practise) -> None:
    """One line within seconds that says where the take is, which holds all that was said."""
    server = sound_server()
    session = practise(server, "--headset")
    session.wait_for("the announcement", lambda row: row["event"] == "PromptStarted")
    assert session.say("flap")["event"] == "Heard"
    server.close()
    assert session.end() == 2
    line = only_line(session)
    assert "the microphone stopped delivering sound after" in line
    assert str(session.take) in line
    take = Take.open(session.take)
    assert [event.text for event in take.events if isinstance(event, Heard)]
    ended = take.events[-1]
    assert isinstance(ended, Ended)
    assert ended.why == "device"
    assert sum(map(len, take.sound())) > 16000 * 3


def practised(session: Session) -> None:
    """A practice in which the tool can only be read: wrong, corrected, stopped."""
    session.hear("welcome")
    assert session.say("drum-wrong")["event"] == "Heard"
    assert "it is towards and armed" in session.hear("correction")
    assert session.say("stop")["event"] == "Requested"
    session.hear("debrief")
    assert session.end() == 1
    coach = " ".join(session.screen().split())
    assert "coach Arm door 2 left, in 5 steps." in coach
    assert "coach Not yet. You said away from and disarmed" in coach
    assert "coach You said 0 of 5 steps." in coach


def test_without_a_loudspeaker_prompts_are_shown(
    sound_server: StartServer, practise: Practise
) -> None:
    """The practice goes on in writing, and one line says why it is silent."""
    session = practise(sound_server(), "--loudspeaker", "nowhere")
    practised(session)
    assert "no loudspeaker named 'nowhere'" in only_line(session)


def test_without_a_voice_prompts_are_shown(sound_server: StartServer, practise: Practise) -> None:
    """Where no speech engine is installed, likewise."""
    server = sound_server()
    broken = server.home / "libraries"
    broken.mkdir()
    for name in ("libespeak-ng.so.1", "libespeak.so.1"):
        (broken / name).write_text("not a library", encoding="utf-8")
    server.environment["LD_LIBRARY_PATH"] = str(broken)
    session = practise(server)
    practised(session)
    assert "no voice is installed" in only_line(session)
