"""Procedures rehearsed by the evaluation: right takes, and takes with one critical fault."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import cast

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.bench.rehearsal import Rehearsal, lines, rehearse_all, synthetic
from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.hear.recogniser import Recogniser
from rehearse.judge.meaning import Readers
from rehearse.session.engine import Engine

BAND = Procedure(
    "see-band",
    "See the band",
    "tarn-240",
    ("C4",),
    "en",
    Revision(1, date(2026, 10, 1), "CSM 4.2.1"),
    "strict",
    PassRule("all", 1.0),
    (
        Step("flap", "Open the flap"),
        Step(
            "band",
            "Check that both panes show the amber band",
            critical=True,
            never=("one pane is enough",),
        ),
    ),
)


class Always:
    """A reader that takes everything for said, or nothing."""

    def __init__(self, said: bool) -> None:
        self._row = (0.97, 0.01, 0.01, 0.01) if said else (0.01, 0.01, 0.01, 0.97)

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """One row a pair, as the protocol asks."""
        return np.array([self._row] * len(pairs), np.float32).reshape(-1, 4)


def rehearsed(*, said: bool) -> Rehearsal:
    """The bare text rehearsed with readers that find everything said, or nothing."""
    engine = Engine(cast("Recogniser", None), Readers(Always(said), Always(said)))
    (found,) = rehearse_all([BAND], lambda _language: engine, synthetic(0))
    return found


def test_a_written_procedure_passes_and_its_faults_do_not() -> None:
    """As written it passes; left out, forbidden or turned round, the critical step gets nothing."""
    found = rehearsed(said=False)
    assert (found.said, found.unsaid, found.passed) == (2, (), True)
    assert found.tried > 3
    assert found.credited == ()


def test_a_fault_that_is_credited_is_named() -> None:
    """What was credited without being said is told with its words, and counted."""
    found = replace(rehearsed(said=False), credited=("band: one pane is enough",))
    told = list(lines(iter([found])))
    assert "    credited: band: one pane is enough" in told
    assert f"1/{found.tried}" in told[-1]


@pytest.mark.parametrize("said", [True, False])
def test_the_step_left_out_is_never_credited(said: bool) -> None:
    """Whatever the readers believe, silence says nothing."""
    assert "band: left out" not in rehearsed(said=said).credited
