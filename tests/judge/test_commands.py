from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.judge.commands import CommandMatch, match_command
from rehearse.judge.verdict import Verdict
from rehearse.language.english import English

ENGLISH = English()
LEXICON = ENGLISH.lexicon
COMMANDS = sorted(
    step.say
    for procedure in all_procedures([SHIPPED])
    if procedure.language == "en"
    for step in procedure.steps
    if step.command
)
OTHER_AIRCRAFT = Path(__file__).parents[1] / "corpus" / "other-aircraft.jsonl"
commands = st.sampled_from(COMMANDS)


def match(command: str, said: str) -> CommandMatch:
    """How what was said fits the command."""
    return match_command(command, ENGLISH.tokens(said.split()), ENGLISH)


def verdict(command: str, said: str) -> Verdict:
    """The verdict alone."""
    return match(command, said).verdict


def content(command: str) -> list[str]:
    """The words of a command that may not be left out."""
    return [t.form for t in ENGLISH.tokens(command.split()) if t.form not in LEXICON.command_small]


@pytest.fixture(scope="module")
def rows() -> list[dict[str, Any]]:
    """The command cases of other aircraft."""
    lines = OTHER_AIRCRAFT.read_text("utf-8").splitlines()
    return [row for row in map(json.loads, lines) if row["command"]]


def test_no_command_of_another_aircraft_is_credited_wrongly(rows: list[dict[str, Any]]) -> None:
    """Of all commands that were not rightly said, not one is credited."""
    credited = [
        (row["step"], row["said"])
        for row in rows
        if row["expect"] != "said" and verdict(row["step"], row["said"]) is Verdict.SAID
    ]
    assert len(rows) == 676
    assert credited == []


def test_commands_of_other_aircraft_are_credited(rows: list[dict[str, Any]]) -> None:
    """At least 98 of 100 commands that were rightly said are credited."""
    rightly = [row for row in rows if row["expect"] == "said"]
    credited = sum(verdict(row["step"], row["said"]) is Verdict.SAID for row in rightly)
    assert credited >= 0.98 * len(rightly)


@pytest.mark.parametrize(
    ("command", "said", "expected"),
    [
        ("Belts off! Bags down! This way out!", "belts off bags down this way out", "said"),
        ("Belts off! Bags down! This way out!", "and i shout belts off bags down this way out",
         "said"),
        ("Belts off! Bags down! This way out!",
         "belts off belts off bags down bags down this way out this way out", "said"),
        ("Belts off! Bags down! This way out!", "belts off um bags down this way out", "said"),
        ("Belts off! Bags down! This way out!", "belts off bags down", "incomplete"),
        ("Belts off! Bags down! This way out!", "belts on bags down this way out", "wrong"),
        ("Belts off! Bags down! This way out!", "belts off bags up this way out", "wrong"),
        ("Belts off! Bags down! This way out!", "release your seatbelt and leave your luggage",
         "not_said"),
        ("Belts off! Bags down! This way out!", "good morning ladies and gentlemen", "not_said"),
        ("Belts off! Bags down! This way out!", "belts on no belts off bags down this way out",
         "said"),
        ("Belts off! Bags down! This way out!", "do not shout belts off bags down this way in",
         "wrong"),
        ("Slide! Two by two!", "slide two by two", "said"),
        ("Slide! Two by two!", "slide 2 by 2", "said"),
        ("Slide! Two by two!", "slide to by too", "said"),
        ("Slide! Two by two!", "slide one by one", "wrong"),
        ("Door two left armed and cross-checked", "door 2L armed and cross checked", "said"),
        ("Door two left armed and cross-checked", "door two left armed and crosschecked", "said"),
        ("Door two left armed and cross-checked", "door two left armed", "incomplete"),
        ("Door two left armed and cross-checked", "door two left disarmed and cross checked",
         "wrong"),
        ("Door two left armed and cross-checked", "door two right armed and cross checked",
         "wrong"),
        ("Door two left armed and cross-checked", "door three left armed and cross checked",
         "wrong"),
        ("Door two left armed and cross-checked", "door two left not armed and cross checked",
         "wrong"),
        ("Door dead! Turn back!", "should i call door dead turn back", "not_said"),
        ("Door dead! Turn back!", "door deal turn back", "unclear"),
        ("Anyone still here? Answer now!", "anyone still here answer now", "said"),
    ],
)  # fmt: skip
def test_word_by_word(command: str, said: str, expected: str) -> None:
    """Swapped words are wrong, missing ones incomplete, spellings and repeats no matter."""
    assert verdict(command, said) == expected


CALL = "door two left armed and cross checked"


@pytest.mark.parametrize(
    "said",
    [
        f"never say {CALL}",
        f"not yet {CALL}",
        f"no {CALL}",
        f"my colleague calls {CALL}",
        f"my colleague nods and calls {CALL}",
        f"nobody shouts {CALL}",
        f"none of us says {CALL}",
        f"c one says {CALL}",
        f"i hear c one call {CALL}",
        f"he says {CALL}",
        f"i would have called {CALL}",
        f"instead of calling {CALL}",
        f"without calling {CALL}",
        f"i refuse to shout {CALL}",
        f"when i am not sure i never call {CALL}",
        f"{CALL} no it is not",
        f"{CALL} not yet",
        f"{CALL} no",
        f"{CALL} but that is wrong",
        f"window {CALL.removeprefix('door ')}",
    ],
)
def test_a_command_denied_or_reported_is_not_credited(said: str) -> None:
    """A command that is denied, taken back, or said by somebody else is not the trainee's."""
    for command in ("Door two left armed and cross-checked", "Two left armed and cross-checked"):
        assert verdict(command, said) is not Verdict.SAID


@pytest.mark.parametrize(
    "said",
    [
        f"then i shout {CALL}",
        f"i do not wait any longer i call {CALL}",
        f"the lamp is not out so i shout {CALL}",
        f"the sill lamp is not out {CALL}",
        f"nothing on the sill {CALL}",
        f"never mind {CALL}",
        f"c one orders it and then i call {CALL}",
        f"my colleague and i call {CALL}",
        f"i give to c one the report {CALL}",
        f"i tell my colleague and call {CALL}",
        f"door three left no {CALL}",
        f"{CALL} that is what i say",
        f"{CALL} no problem",
        f"{CALL} and not disarmed",
        CALL.replace("door two left", "L2"),
        CALL.replace("door two left", "left two"),
        CALL.replace("door two left", "two on the left"),
        CALL.replace("door two left", "to left"),
    ],
)
def test_a_command_led_in_to_otherwise_is_credited(said: str) -> None:
    """A "not" about something else, another's part in it, or a loose door name takes no credit."""
    verdicts = {verdict(f"{door} armed and cross-checked", said)
                for door in ("Door two left", "Two left")}  # fmt: skip
    assert Verdict.SAID in verdicts


@given(commands, st.sampled_from(["", "um", "then i shout", "and", "we call"]), st.booleans())
def test_a_command_read_off_is_said(command: str, before: str, twice: bool) -> None:
    """The command itself is said, in any case and punctuation, led in to, or shouted twice."""
    said = f"{before} {command.upper().replace('!', ',')}"
    assert verdict(command, f"{said} {command}" if twice else said) is Verdict.SAID


@given(commands, st.data())
def test_a_command_without_a_word_is_not_credited(command: str, data: st.DataObject) -> None:
    """Leaving out any word that counts loses the credit."""
    words = command.split()
    at = data.draw(st.integers(0, len(words) - 1))
    rest = [*words[:at], *words[at + 1 :]]
    assume(content(" ".join(rest)) != content(command))
    assume(len(content(words[at])) > 0)
    assert verdict(command, " ".join(rest)) is not Verdict.SAID


@given(commands, st.data())
def test_a_flipped_command_is_not_credited(command: str, data: st.DataObject) -> None:
    """A command with one slot turned into its opposite is never credited."""
    contrasts = ENGLISH.contrasts(command)
    assume(contrasts)
    assert verdict(command, data.draw(st.sampled_from(contrasts))) is not Verdict.SAID


@given(commands, commands)
def test_one_command_is_not_another(command: str, said: str) -> None:
    """Saying one command never credits another one."""
    assume(content(command) != content(said))
    shared = " ".join(content(command)) in " ".join(content(said))
    assume(not shared)
    assert verdict(command, said) is not Verdict.SAID


@given(commands, st.text(max_size=60))
def test_any_text_can_be_matched(command: str, said: str) -> None:
    """Whatever was heard, there is a verdict, and the words it rests on are the utterance's."""
    found = match(command, said)
    assert -1 <= found.first <= found.last < max(1, len(said.split()))
    assert 0 <= found.share <= 1


def test_what_was_swapped_is_named() -> None:
    """A changed word comes with the word it stands for."""
    assert match("Belts off! Bags down!", "belts on bags down").swapped == (("off", "on"),)


def test_what_is_missing_is_named() -> None:
    """A missing half is named word by word."""
    assert match("Door dead! Turn back!", "door dead").missing == ("turn", "back")


def test_a_mended_slip_is_noted() -> None:
    """The last version counts, and that there was a slip is kept."""
    found = match("Door dead! Turn back!", "door live no door dead turn back")
    assert found.verdict is Verdict.SAID
    assert found.corrected


def test_silence_is_no_command() -> None:
    """Nothing said, or only fillers, is nothing."""
    assert verdict("Door dead! Turn back!", "") is Verdict.NOT_SAID
    assert verdict("Door dead! Turn back!", "um er well") is Verdict.NOT_SAID
