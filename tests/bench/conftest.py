from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.judge.meaning import Readers

PROCEDURE = """\
procedure: arm-door-2l
title: Arm door 2 left
aircraft: tarn-240
positions: [C4]
language: en
revision: {number: 3, effective: 2026-10-01, source: "CSM 4.2.1"}
order: strict
pass: {critical: all, share: 0.8}
steps:
  - id: flap
    say: Open the flap and pull the spring pin
  - id: drum
    say: Turn the mode drum to armed
    critical: true
    never: ["turn the mode drum to disarmed"]
"""
HELD_OUT = PROCEDURE.replace("arm-door-2l", "arm-door-3r")

Row = dict[str, Any]
MakeRow = Callable[..., Row]
WriteCorpus = Callable[[Sequence[Row], Sequence[Row]], Path]


class Overlap:
    """A reader that goes by shared words alone: quick, and wrong where words deceive."""

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """One row a pair, as the protocol asks."""
        rows = []
        for step, utterance in pairs:
            wanted, got = set(step.lower().split()), set(utterance.lower().split())
            share = len(wanted & got) / len(wanted)
            said = 0.96 * share
            rows.append((said, 0.01, 0.01, 0.98 - said))
        return np.array(rows, np.float32).reshape(-1, 4)


@pytest.fixture
def readers() -> Readers:
    """A pair of readers that cost nothing."""
    return Readers(Overlap(), Overlap())


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A folder with one development and one held-out procedure."""
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "arm-door-2l.yaml").write_text(PROCEDURE)
    (folder / "arm-door-3r.yaml").write_text(HELD_OUT)
    return folder


@pytest.fixture
def write_corpus(tmp_path: Path) -> WriteCorpus:
    """Writes single-step cases and recitations as a corpus and returns its folder."""

    def write(steps: Sequence[Row], recitations: Sequence[Row] = ()) -> Path:
        folder = tmp_path / "corpus"
        for name, rows in (("steps", steps), ("recitations", recitations)):
            (folder / name).mkdir(parents=True, exist_ok=True)
            text = "".join(json.dumps(row) + "\n" for row in rows)
            (folder / name / "cases.jsonl").write_text(text)
        return folder

    return write


@pytest.fixture
def step_row() -> MakeRow:
    """Makes a single-step case as a row, with some fields changed."""

    def make(**changes: Any) -> Row:  # noqa: ANN401
        row = {
            "procedure": "arm-door-2l",
            "step": "drum",
            "said": "turn the mode drum to armed",
            "expect": "said",
            "kind": "paraphrase",
            "why": "as in the book",
        }
        return {**row, **changes}

    return make


@pytest.fixture
def take_row() -> MakeRow:
    """Makes a recitation as a row, with some fields changed."""

    def make(**changes: Any) -> Row:  # noqa: ANN401
        row = {
            "procedure": "arm-door-2l",
            "utterances": ["open the flap and pull the spring pin", "turn the mode drum to armed"],
            "expect": {"flap": "said", "drum": "said"},
            "dangerous": [],
            "kind": "perfect",
            "why": "as in the book",
        }
        return {**row, **changes}

    return make
