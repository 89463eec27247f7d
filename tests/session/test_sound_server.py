"""What a sound server's one name stands for: the headset or the loudspeaker behind it."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from rehearse.sound_server import behind


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program that answers for a sound server; its text is to be written by the test."""
    monkeypatch.setenv("PATH", f"{tmp_path}:/bin:/usr/bin")
    for name in ("PULSE_SOURCE", "PULSE_SINK"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path / "pactl"


def answering(program: Path, script: str) -> None:
    """Let it answer so."""
    program.write_text(f"#!/bin/sh\n{script}\n")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)


def test_the_device_behind_the_default_is_named(server: Path) -> None:
    """A headset and the laptop's own microphone would share one profile and one calm voice."""
    answering(server, "case $1 in *source) echo headset.in;; *sink) echo headset.out;; esac")
    assert behind("default", "source") == "default (headset.in)"
    assert behind("pulse", "sink") == "pulse (headset.out)"


def test_a_device_with_a_name_keeps_it(server: Path) -> None:
    """What is plugged in beside the default would be taken for the default."""
    answering(server, "echo headset.in")
    assert behind("USB Audio: - (hw:1,0)", "source") == "USB Audio: - (hw:1,0)"


def test_a_device_chosen_by_the_environment_is_the_one(
    server: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server's default is not what such a program hears."""
    answering(server, "echo headset.in")
    monkeypatch.setenv("PULSE_SOURCE", "desk.in")
    assert behind("default", "source") == "default (desk.in)"


@pytest.mark.parametrize("script", ["exit 1", "true"])
def test_without_a_server_the_name_stands(server: Path, script: str) -> None:
    """A machine without a sound server could not be used."""
    answering(server, script)
    assert behind("default", "source") == "default"


def test_without_its_program_the_name_stands(server: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Likewise where the program is not installed."""
    monkeypatch.setenv("PATH", str(server.parent))
    assert behind("default", "sink") == "default"
