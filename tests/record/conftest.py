"""A procedure, what a trainee made of it, and the verdicts, for every test of the record."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from rehearse.book import reader
from rehearse.book.model import Procedure
from rehearse.events import (
    Ended,
    Event,
    Ghost,
    Heard,
    Judged,
    Listening,
    Partial,
    PromptEnded,
    PromptStarted,
    Requested,
    SlotCheck,
    SpeechStarted,
    Word,
)
from rehearse.hear.recogniser import RATE, Sound
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict
from rehearse.record.report import Report
from rehearse.record.take import Header

PROCEDURE = """\
# Kept byte for byte, this comment too.
procedure: arm-door-2l
title: Arm door 2 left
aircraft: tarn-240
positions: [C4]
language: en
revision: {number: 3, effective: 2026-10-01, source: "CSM 4.2.1"}
order: strict
pass: {critical: all, share: 0.8}
steps:
  - id: flap
    say: Open the flap and pull the spring pin
  - id: drum
    say: Turn the mode drum a quarter turn towards the hinge to armed
    critical: true
  - id: pin
    say: Let the spring pin snap home and close the flap
    after: [drum]
  - id: panes
    say: Check both witness panes show the amber band and the sill lamp is lit
    critical: true
    after: [drum]
  - id: call
    say: Door two left armed and cross-checked
    command: true
"""


@pytest.fixture
def procedure_file(tmp_path: Path) -> Path:
    """A procedure file as an operator keeps it."""
    path = tmp_path / "arm-door-2l.yaml"
    path.write_text(PROCEDURE, encoding="utf-8")
    return path


@pytest.fixture
def procedure(procedure_file: Path) -> Procedure:
    """The procedure of that file."""
    return reader.read(procedure_file)


@pytest.fixture
def events() -> tuple[Event, ...]:
    """A take with one of nearly everything, some forty seconds long."""
    return (
        Listening(0.0),
        PromptStarted(0.2, "Arm door two left. Begin.", "welcome"),
        PromptEnded(1.8),
        SpeechStarted(2.4),
        Partial(3.0, "I open the"),
        Heard(
            2.4,
            5.0,
            "I open the flap and pull the pin",
            tuple(
                Word(text, 2.4 + 0.32 * n, 2.7 + 0.32 * n, 0.9)
                for n, text in enumerate("I open the flap and pull the pin".split())
            ),
            "I open the flap and pull the bin",
            ("I open the flap and pull the bin",),
            (),
            1.5,
            -23.5,
        ),
        Judged(5.2, "flap", "said", 0.97, "You said it."),
        Heard(
            6.0,
            9.0,
            "then I turn the drum to disarmed",
            checks=(SlotCheck(6, 1, "disarmed", "armed", 4.0),),
        ),
        Judged(9.2, "drum", "wrong", 0.01, "You said disarmed instead of armed."),
        PromptStarted(9.6, "Not disarmed: the drum goes to armed.", "correction"),
        PromptEnded(12.1, finished=False),
        Requested(14.0, "hint", "give me a hint"),
        Ghost(15.0, 15.6, "thanks for watching", "nobody spoke there"),
        Heard(20.0, 22.0, "door two left armed and cross-checked"),
        Ended(40.0, "stopped"),
    )


@pytest.fixture
def result() -> Result:
    """Verdicts of most kinds on that take, with one dangerous extra, listed last."""
    return Result(
        "arm-door-2l",
        3,
        passed=False,
        steps=(
            StepResult(
                "flap", Verdict.SAID, 0.9712, "I open the flap and pull the pin", 2.4, 5.0, "Said."
            ),
            StepResult(
                "drum",
                Verdict.WRONG,
                0.0123,
                "then I turn the drum to disarmed",
                6.0,
                9.0,
                "You said disarmed instead of armed.",
            ),
            StepResult(
                "pin",
                Verdict.INCOMPLETE,
                0.2,
                "the pin",
                4.1,
                5.0,
                "Closing the flap was left out.",
                missing="close the flap",
            ),
            StepResult("panes", Verdict.NOT_SAID, 0.004, "", None, None, "You did not say it."),
            StepResult(
                "call",
                Verdict.UNCLEAR,
                0.5,
                "door two left armed and cross-checked",
                20.0,
                22.0,
                "Armed could not be told from disarmed.",
            ),
        ),
        extras=(
            Extra("lovely weather", dangerous=False, why="It belongs to no step.", start=16.0),
            Extra(
                "turn the drum to disarmed",
                dangerous=True,
                why="The procedure forbids it.",
                start=6.0,
                end=9.0,
            ),
        ),
    )


@pytest.fixture
def header() -> Header:
    """How the take was made."""
    return Header(
        "2026-10-01-101500-arm-door-2l",
        datetime(2026, 10, 1, 10, 15, tzinfo=UTC),
        "arm-door-2l",
        3,
        "0.1.0",
        "steady",
        "microphone",
        sound=True,
    )


@pytest.fixture
def report(
    procedure: Procedure, result: Result, events: tuple[Event, ...], header: Header
) -> Report:
    """The report on that take."""
    return Report(header.id, procedure, result, events, header)


@pytest.fixture
def speechlike() -> Sound:
    """Ten seconds that swell and fade like speech, so that FLAC cannot squeeze them away."""
    noise = np.random.default_rng(7).standard_normal(10 * RATE)
    swell = np.abs(np.sin(np.arange(10 * RATE) / RATE * 2.2))
    sound: Sound = (0.2 * noise * swell).astype(np.float32)
    return sound
