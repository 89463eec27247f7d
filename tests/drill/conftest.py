from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.book.shelf import SHIPPED

# A small valid file; tests change one thing in it.
GOOD = """\
drill: small
title: Small drill
aircraft: tarn-240
topic: unusable-exit
positions: [C4, C3]
language: en
revision: {number: 2, effective: 2026-11-01, source: "CSM 6.1"}
cast:
  - {id: eyes, name: What you see, voice: 2}
stages:
  - id: signal
    cue: {sound: evacuation-signal, holds: 3, wait: [3, 9]}
    answers:
      - {step: evacuation-commands.belts, within: 3, every: 4, lasts: 6, louder: 8}
    then:
      - {to: dead, if: [answered], chance: 3}
      - {to: clear, if: [answered]}
  - id: dead
    cue: {sound: fire, role: eyes, says: "Fire outside {doors of me}.", wait: 2}
    answers:
      - id: turn
        say: Door dead! Turn back!
        also: [This door is dead!]
        within: 2.5
      - {step: evacuation-commands.across, critical: true, within: 8, louder: 8, calmer: 30}
      - {id: why, say: "There is fire outside {doors of me}", command: false, critical: false}
    never: ["Slide! Two by two!"]
    silences: [signal.belts]
    grace: 1.5
    until: 25
  - id: clear
    cue: {sound: door-driven}
    then:
      - {to: end}
"""

Write = Callable[[str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a drill file beside the register and a few procedures of the Tarn 240."""
    for name in ("aircraft", "evacuation-commands", "lexicon"):
        (tmp_path / f"{name}.yaml").symlink_to(SHIPPED / "tarn-240" / f"{name}.yaml")

    def write(text: str, name: str = "small.yaml") -> Path:
        path = tmp_path / "drills" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, "utf-8")
        return path

    return write
