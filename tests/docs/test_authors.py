"""The guide for authors is true: its files are written, its commands typed, its output found."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from rehearse.cli import parser
from rehearse.safety import NOTICE
from tests.docs.guide import ROOT, blocks_of, follow, read, typed
from tests.docs.test_readme import COMMANDS, _is_command, _options

GUIDE = read("authors.md")
BLOCKS = blocks_of(GUIDE)


def test_the_guide_is_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who types what the guide says, in its order, gets what it says."""
    monkeypatch.chdir(tmp_path)
    Path("examples").symlink_to(ROOT / "examples")
    assert follow(BLOCKS, monkeypatch, capsys) >= 12


def test_every_block_is_a_file_a_command_or_output() -> None:
    """No example stands in the guide that nobody tries."""
    assert len(BLOCKS) == GUIDE.count("\n```") // 2
    assert all(block.name or block.kind in {"sh", "text"} for block in BLOCKS)


def test_the_guide_shows_every_command_of_authors() -> None:
    """A command for authors that the guide leaves out is one they will not find."""
    shown = {words[2] for block in BLOCKS if block.kind == "sh" for words, _ in typed(block)
             if words[:2] == ["rehearse", "book"]}  # fmt: skip
    shown |= set(re.findall(r"`rehearse book (\w+)", GUIDE))
    wanted = {command[1] for command in COMMANDS if command[0] == "book"} - {"list"}
    assert wanted <= shown


@pytest.mark.parametrize("option", sorted(set(re.findall(r"`(--[a-z][a-z-]*)", GUIDE))))
def test_every_option_named_exists(option: str) -> None:
    """The options in the guide are options of some command."""
    assert option in _options(parser())


def test_commands_in_the_text_exist() -> None:
    """So are the commands that stand within sentences."""
    inline = re.findall(r"`(rehearse [a-z].*?)`", GUIDE)
    assert inline
    assert all(_is_command(shlex.split(shown)) for shown in inline)


def test_the_notice_is_in_the_guide() -> None:
    """The guide carries the safety notice word for word."""
    assert NOTICE in " ".join(GUIDE.replace("\n> ", " ").split())


def test_links_of_the_guide_lead_somewhere() -> None:
    """Every file the guide links to is in the project."""
    links = re.findall(r"\]\(([^)#]+)\)", GUIDE)
    assert links
    assert [link for link in links if not (ROOT / "docs" / link).exists()] == []
