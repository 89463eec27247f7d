"""What tests of the authoring commands share: typing them, and where an import goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from rehearse.authoring.taken import Target
from rehearse.cli import main

ROOT = Path(__file__).parents[2]
CHAPTER = ROOT / "examples" / "manual-chapter.md"
SHIPPED = ROOT / "procedures" / "tarn-240"
ARM = Path(__file__).with_name("arm-door-2l.yaml")  # a copy whose lines stay where they are


@dataclass(frozen=True)
class Outcome:
    """What a command left: its exit status and the lines of both streams."""

    status: int
    out: list[str]
    err: list[str]


Type = Callable[..., Outcome]


@pytest.fixture
def type_in(capsys: pytest.CaptureFixture[str]) -> Type:
    """Types a command, in this process."""

    def typed(*words: str | Path) -> Outcome:
        capsys.readouterr()
        status = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Outcome(status, out.splitlines(), err.splitlines())

    return typed


def target(file: str = "chapter.md", manual: str = "CSM") -> Target:
    """Where the imported procedures of a test belong."""
    return Target(file, "tarn-240", ("C4",), "en", 1, date(2026, 12, 1), manual)
