"""What an instructor types at a terminal while a check is held, on a pseudo-terminal."""

from __future__ import annotations

import json
import os
import pty
import sys
import termios
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import SAID, Desk

UNCLEAR = (*SAID[:2], f"perhaps {SAID[2]}", f"perhaps {SAID[3]}", SAID[4])
END = "\x04"  # what the key for the end of the input sends

Type = Callable[..., None]


@pytest.fixture
def typing(monkeypatch: pytest.MonkeyPatch) -> Iterator[Type]:
    """Puts a terminal in place of standard input, and types lines into it."""
    mine, theirs = pty.openpty()
    set_up = termios.tcgetattr(theirs)
    set_up[3] &= ~termios.ECHO
    termios.tcsetattr(theirs, termios.TCSANOW, set_up)

    def type_(*lines: str) -> None:
        for line in lines:
            os.write(mine, f"{line}\n".encode() if line != END else line.encode())

    with open(theirs, encoding="utf-8") as terminal:  # noqa: PTH123 - a descriptor
        monkeypatch.setattr(sys, "stdin", terminal)
        yield type_
        type_(END)
    os.close(mine)


def held(desk: Desk, *more: str | Path) -> tuple[int, list[str], list[str]]:
    """Hold a check of arm-door-2l from words, with two steps that stay unclear."""
    return desk.run(
        "I1", "check", "--candidate", "T1", "--element", "door-drills", "--procedure",
        "arm-door-2l", "--takes", desk.folder / "takes", "--words", desk.words(*UNCLEAR), *more,
    )  # fmt: skip


def shown(desk: Desk, line: str) -> dict[str, object]:
    """The record that the check's last line names."""
    record = line.split(":", maxsplit=1)[0]
    told: dict[str, object] = json.loads(desk.good("I1", "records", "show", record, "--json")[0])
    return told


def test_an_unclear_step_is_decided_or_left(desk: Desk, typing: Type) -> None:
    """An instructor at the terminal could not decide at once what the tool leaves to them."""
    typing("maybe it clicked", "said", "said T1 said it", "said heard it click", "", END)
    status, out, err = held(desk)
    assert status == 1
    assert [line.split(":")[0] for line in err] == ["rehearse", "rehearse", "rehearse"]
    assert "maybe is no verdict" in err[0]
    assert "needs its reason" in err[1]
    assert "names the person" in err[2]
    asked = [line for line in out if "your verdict and reason" in line]
    assert len(asked) == 5
    assert f"pin: unclear: {SAID[2]}" in out
    assert any("panes: left unclear" in line for line in out)
    told = shown(desk, out[-1])
    assert told["verdicts"] == {
        "flap": "said", "drum": "said", "pin": "said", "panes": "unclear", "call": "said",
    }  # fmt: skip
    assert "waits for you: panes" in out[-1]
    assert "unclear: panes" in desk.refused("I1", "records", "sign", str(told["record"]))


def test_the_end_of_the_input_leaves_what_is_unclear(desk: Desk, typing: Type) -> None:
    """Somebody who ends the input would lose the check, or have it decided for them."""
    typing(END)
    status, out, err = held(desk)
    assert (status, err) == (1, [])
    verdicts = shown(desk, out[-1])["verdicts"]
    assert isinstance(verdicts, dict)
    assert [verdicts["pin"], verdicts["panes"]] == ["unclear", "unclear"]


def test_without_a_terminal_nothing_is_asked(desk: Desk) -> None:
    """A script would wait for ever for an answer that nobody types."""
    _, out, err = held(desk)
    assert err == []
    assert not any("your verdict and reason" in line for line in out)
    assert "waits for you: pin, panes" in out[-1]
