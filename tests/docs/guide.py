"""A guide whose examples are tried: its files are written, its commands typed, its output found."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from rehearse.book.shelf import VARIABLE
from rehearse.cli import main

ROOT = Path(__file__).resolve().parents[2]
_BLOCK = re.compile(
    r"(?:^`(?P<name>[\w./-]+)`:\n\n)?^```(?P<kind>\w+)\n(?P<text>.*?)^```$", re.M | re.S
)


@dataclass(frozen=True)
class Block:
    """One fenced block. kind: sh (typed), text (expected of what was typed last), else a file."""

    kind: str
    name: str
    text: str


def read(name: str) -> str:
    """The text of a guide in `docs`."""
    return (ROOT / "docs" / name).read_text("utf-8")


def blocks_of(guide: str) -> list[Block]:
    """Its fenced blocks, in order."""
    return [
        Block(match["kind"], match["name"] or "", match["text"]) for match in _BLOCK.finditer(guide)
    ]


def typed(block: Block) -> Iterator[tuple[list[str], int]]:
    """Each command of a block with the exit status it should end with."""
    for line in block.text.splitlines():
        command, _, remark = line.partition("#")
        status = re.match(r" ends with (\d)", remark)
        yield shlex.split(command), int(status[1]) if status else 0


def follow(
    blocks: Sequence[Block], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> int:
    """Do all that the blocks say, here, in their order; how many lines of output were found."""
    printed = ""
    looked_for = 0
    for block in blocks:
        if block.name:
            Path(block.name).parent.mkdir(parents=True, exist_ok=True)
            Path(block.name).write_text(block.text, "utf-8")
        elif block.kind == "text":
            for line in block.text.splitlines():
                assert " ".join(line.split()) in printed, line
                looked_for += 1
        else:
            assert block.kind == "sh"
            printed = ""
            for words, status in typed(block):
                if words[0] == "export":
                    name, _, value = words[1].partition("=")
                    assert name == VARIABLE
                    monkeypatch.setenv(name, value)
                    continue
                assert main(_expanded(words[1:])) == status, words
                out, err = capsys.readouterr()
                assert err == ""
                printed += " ".join(out.split()) + " "
    return looked_for


def _expanded(words: list[str]) -> list[str]:
    """Patterns of file names replaced by the names, as a shell does."""
    return [
        name
        for word in words
        for name in (sorted(map(str, Path().glob(word))) if "*" in word else [word])
    ]
