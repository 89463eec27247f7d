"""The README and the command line say the same, and the notice stands in it word for word."""

import argparse
import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from rehearse.cli import parser
from rehearse.safety import NOTICE

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")


def _commands(of: argparse.ArgumentParser, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every command a person can type, as the words after `rehearse`."""
    below = [action for action in of._actions if isinstance(action, argparse._SubParsersAction)]
    if not below:
        yield path
    for action in below:
        for name, child in action.choices.items():
            yield from _commands(child, (*path, name))


def _options(of: argparse.ArgumentParser) -> set[str]:
    """Every option of the command line, of whatever command."""
    found: set[str] = set()
    for action in of._actions:
        found.update(action.option_strings)
        if isinstance(action, argparse._SubParsersAction):
            for child in action.choices.values():
                found |= _options(child)
    return found


COMMANDS = sorted(set(_commands(parser())))
SHOWN = sorted(set(re.findall(r"(?:^|`|/)(rehearse [a-z].*?)(?:`|$)", README, re.MULTILINE)))


def _is_command(words: list[str]) -> bool:
    return any(tuple(words[1 : 1 + len(path)]) == path for path in COMMANDS)


def test_the_readme_shows_commands() -> None:
    """The search for commands finds some, so that the tests below have something to say."""
    assert len(SHOWN) >= 8
    assert len(COMMANDS) >= 6


@pytest.mark.parametrize("shown", SHOWN)
def test_every_command_shown_exists(shown: str) -> None:
    """Whatever the README tells a person to type is a command."""
    assert _is_command(shlex.split(shown))


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_every_command_is_in_the_readme(command: tuple[str, ...]) -> None:
    """A command that the README does not mention does not exist for its reader."""
    words = " ".join(("rehearse", *command))
    assert any(f"{shown} ".startswith(f"{words} ") for shown in SHOWN)


@pytest.mark.parametrize("option", sorted(set(re.findall(r"`(--[a-z][a-z-]*)`", README))))
def test_every_option_named_exists(option: str) -> None:
    """The options in the README are options of some command."""
    assert option in _options(parser())


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_every_command_explains_itself(
    command: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """`--help` of a command says what it does and what each of its options does."""
    of = parser()
    for word in command:
        (action,) = (a for a in of._actions if isinstance(a, argparse._SubParsersAction))
        of = action.choices[word]
    assert of.description
    unexplained = [action.dest for action in of._actions if not action.help]
    assert unexplained == []
    of.print_help()
    assert "usage" in capsys.readouterr().out.lower()


def test_the_notice_is_there_word_for_word() -> None:
    """The safety notice of the README is the one the tool prints and speaks."""
    unfolded = " ".join(README.replace("\n> ", " ").split())
    assert NOTICE in unfolded


def test_the_two_commands_come_first() -> None:
    """The first two commands of the README are those that set up, try and test."""
    first, second = re.findall(r"^(\./task \w+)", README, re.MULTILINE)[:2]
    assert (first, second) == ("./task try", "./task test")
    assert README.index(first) < README.index(".venv/bin/rehearse")


def test_the_task_file_knows_its_commands() -> None:
    """`./task help` lists both; a word it does not know is refused with the same list."""
    told = subprocess.run([ROOT / "task", "help"], capture_output=True, text=True, check=True)
    assert "./task try " in told.stdout
    assert "./task test " in told.stdout
    unknown = subprocess.run([ROOT / "task", "tset"], capture_output=True, text=True, check=False)
    assert unknown.returncode == 2
    assert unknown.stderr == told.stdout


def test_links_lead_somewhere() -> None:
    """Every file the README links to is in the project."""
    links = re.findall(r"\]\(([^)#]+)\)", README)
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []
