from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

# A small valid file; tests change one thing in it. Line numbers are counted from its first line.
GOOD = """\
programme: cabin
operator: Fellmark Air
zone: Europe/Helsinki
elements:
  - id: doors
    title: Doors
    aircraft: [tarn-240]
    positions: [C1, C4]
    procedures: [arm-door-2l, disarm-door-2l]
    period: 12 months
    window: 3 months
    method: both
    rule: "TM 1"
    retention: 3 years
  - id: commands
    title: Evacuation commands
    aircraft: any
    period: 6 months
    window: 30 days
    method: oral
    rule: "TM 2"
    retention: 40 months
"""

Write = Callable[..., Path]


@pytest.fixture
def good() -> str:
    """The text of a valid programme file."""
    return GOOD


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a file and returns its path."""

    def write(content: str | bytes, name: str = "programme.yaml") -> Path:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write
