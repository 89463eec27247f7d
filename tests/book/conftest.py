from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

# A small valid file; tests change one thing in it. Line numbers are counted from its first line.
GOOD = """\
procedure: arm-door-2l
title: Arm door 2 left
aircraft: tarn-240
positions: [C4]
language: en
revision: {number: 3, effective: 2026-10-01, source: "CSM 4.2.1"}
order: strict
pass: {critical: all, share: 0.8, within: 90}
steps:
  - id: flap
    say: Open the flap and pull the spring pin
    also: ["Lift the flap and pull out the spring pin"]
  - id: drum
    say: Turn the mode drum a quarter turn towards the hinge to armed
    critical: true
    reason: Only an armed door fills its slide.
    never: ["turn the drum to disarmed"]
  - id: panes
    say: Check both witness panes show the amber band and the sill lamp is lit
    after: [drum]
  - id: call
    say: Door two left armed and cross-checked
    command: true
"""

Write = Callable[[str | bytes], Path]


@pytest.fixture
def good() -> str:
    """The text of a valid procedure file."""
    return GOOD


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a procedure file and returns its path."""

    def write(content: str | bytes, name: str = "procedure.yaml") -> Path:
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write
