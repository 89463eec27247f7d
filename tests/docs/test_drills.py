"""The guide for authors of drills is true: its drills are read, its commands typed."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from rehearse.book.shape import names
from rehearse.cli import parser
from rehearse.cues.sounds import SOUNDS
from rehearse.drill.files.keys import ANSWER, BRANCH, CUE, DRILL, ROLE, STAGE
from rehearse.drill.files.lint import ADVICE
from rehearse.safety import NOTICE
from tests.docs.guide import ROOT, blocks_of, follow, read
from tests.docs.test_readme import _is_command, _options

GUIDE = read("drills.md")
BLOCKS = blocks_of(GUIDE)
TEXT = re.sub(r"^```.*?^```$", "", GUIDE, flags=re.M | re.S)


def test_the_guide_is_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """If this fails, who writes and types what the guide says gets something else."""
    monkeypatch.chdir(tmp_path)
    assert follow(BLOCKS, monkeypatch, capsys) >= 4
    assert len(BLOCKS) == GUIDE.count("\n```") // 2


def test_every_key_is_explained() -> None:
    """If this fails, an author does not learn of a key."""
    keys = {name for table in (DRILL, ROLE, STAGE, CUE, ANSWER, BRANCH) for name in names(table)}
    assert keys <= set(re.findall(r"`([a-z]+)`", TEXT))


@pytest.mark.parametrize(
    ("title", "known"),
    [("sound", {name: sound.told for name, sound in SOUNDS.items()}), ("code", ADVICE)],
)
def test_the_tables_are_whole(title: str, known: dict[str, str]) -> None:
    """If this fails, a sound or a piece of advice is missing in the guide, or told otherwise."""
    table = re.search(rf"^\| {title} \|.*\n\| --- .*\n((?:\|.*\n)+)", GUIDE, re.M)
    assert table is not None
    assert dict(re.findall(r"^\| `(.+?)` \| (.+) \|$", table[1], re.M)) == known


def test_what_is_named_exists() -> None:
    """If this fails, the guide names a command, an option or a file that there is not."""
    inline = re.findall(r"`(rehearse [a-z].*?)`", TEXT)
    assert inline
    assert [shown for shown in inline if not _is_command(shlex.split(shown))] == []
    assert set(re.findall(r"`(--[a-z][a-z-]*)", TEXT)) <= _options(parser())
    assert all((ROOT / name).exists() for name in re.findall(r"`(procedures/[\w./-]+)`", TEXT))


def test_the_notice_is_in_the_guide() -> None:
    """If this fails, a page goes out without the safety notice."""
    assert NOTICE in " ".join(GUIDE.replace("\n> ", " ").split())
