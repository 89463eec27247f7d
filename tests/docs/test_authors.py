"""The guide for authors is true: its files are written, its commands typed, its output found."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from rehearse.book.shelf import VARIABLE
from rehearse.cli import main, parser
from rehearse.safety import NOTICE
from tests.docs.test_readme import COMMANDS, _is_command, _options

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "docs" / "authors.md").read_text("utf-8")
_BLOCK = re.compile(
    r"(?:^`(?P<name>[\w./-]+)`:\n\n)?^```(?P<kind>\w+)\n(?P<text>.*?)^```$", re.M | re.S
)


@dataclass(frozen=True)
class Block:
    """One fenced block. kind: sh (typed), text (expected of what was typed last), else a file."""

    kind: str
    name: str
    text: str


BLOCKS = [
    Block(match["kind"], match["name"] or "", match["text"]) for match in _BLOCK.finditer(GUIDE)
]


def _typed(block: Block) -> Iterator[tuple[list[str], int]]:
    """Each command of a block with the exit status it should end with."""
    for line in block.text.splitlines():
        command, _, remark = line.partition("#")
        status = re.match(r" ends with (\d)", remark)
        yield shlex.split(command), int(status[1]) if status else 0


def _expanded(words: list[str]) -> list[str]:
    """Patterns of file names replaced by the names, as a shell does."""
    return [
        name
        for word in words
        for name in (sorted(map(str, Path().glob(word))) if "*" in word else [word])
    ]


def test_the_guide_is_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who types what the guide says, in its order, gets what it says."""
    monkeypatch.chdir(tmp_path)
    Path("examples").symlink_to(ROOT / "examples")
    printed = ""
    looked_for = 0
    for block in BLOCKS:
        if block.name:
            Path(block.name).parent.mkdir(exist_ok=True)
            Path(block.name).write_text(block.text, "utf-8")
        elif block.kind == "text":
            for line in block.text.splitlines():
                assert " ".join(line.split()) in printed, line
                looked_for += 1
        else:
            assert block.kind == "sh"
            printed = ""
            for words, status in _typed(block):
                if words[0] == "export":
                    name, _, value = words[1].partition("=")
                    assert name == VARIABLE
                    monkeypatch.setenv(name, value)
                    continue
                assert main(_expanded(words[1:])) == status, words
                out, err = capsys.readouterr()
                assert err == ""
                printed += " ".join(out.split()) + " "
    assert looked_for >= 12


def test_every_block_is_a_file_a_command_or_output() -> None:
    """No example stands in the guide that nobody tries."""
    assert len(BLOCKS) == GUIDE.count("\n```") // 2
    assert all(block.name or block.kind in {"sh", "text"} for block in BLOCKS)


def test_the_guide_shows_every_command_of_authors() -> None:
    """A command for authors that the guide leaves out is one they will not find."""
    shown = {words[2] for block in BLOCKS if block.kind == "sh" for words, _ in _typed(block)
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
