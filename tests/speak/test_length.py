"""The debrief's estimate of speaking time, held against the real voice."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.book.shelf import files
from rehearse.coach.debrief import debrief, speaking_seconds
from rehearse.coach.pace import DEBRIEF_SECONDS, WORDS_PER_MINUTE
from rehearse.coach.phrasebook import phrasebook
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.speak.cache import Cache
from rehearse.speak.voice import Voice

_BOOK = Path(__file__).parents[2] / "procedures"


@pytest.fixture(scope="module")
def voice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Voice]:
    """The tool's voice at its own rate."""
    made = Voice("en", cache=Cache(tmp_path_factory.mktemp("speech")))
    yield made
    made.close()


def shipped() -> list[Procedure]:
    """Every shipped procedure, with no more than a debrief needs."""
    found = []
    for path in files(_BOOK):
        data = yaml.safe_load(path.read_text("utf-8"))
        if data.get("language") != "en":
            continue  # the voice of these tests is English
        steps = tuple(
            Step(row["id"], row["say"], critical=row.get("critical", False))
            for row in data.get("steps", [])
        )
        procedure = Procedure(
            id=data["procedure"],
            title=data["title"],
            aircraft="tarn-240",
            positions=(),
            language="en",
            revision=Revision(1, date(2026, 10, 1), ""),
            order="strict",
            pass_rule=PassRule(),
            steps=steps,
        )
        found.append(procedure)
    return found


SHIPPED = shipped()


@given(st.sampled_from(SHIPPED), st.data())
@settings(max_examples=25)
def test_no_debrief_takes_longer_than_twenty_seconds(
    voice: Voice, procedure: Procedure, data: st.DataObject
) -> None:
    """Really spoken, the debrief of any verdicts on a shipped procedure fits."""
    rows = tuple(
        StepResult(
            step.id,
            data.draw(st.sampled_from(Verdict)),
            0.5,
            "words",
            1.0,
            2.0,
            why=f"You said: {data.draw(st.sampled_from(procedure.steps)).say}.",
        )
        for step in procedure.steps
    )
    text = debrief(procedure, Result(procedure.id, 1, False, rows, ()), phrasebook("en"))
    spoken = voice.render(text).seconds
    assert spoken <= DEBRIEF_SECONDS
    assert spoken <= 1.05 * speaking_seconds(text, WORDS_PER_MINUTE)


@pytest.mark.parametrize("procedure", SHIPPED, ids=lambda procedure: procedure.id)
def test_the_estimate_is_no_wild_guess(voice: Voice, procedure: Procedure) -> None:
    """A whole procedure read out takes between three quarters and all of the estimate."""
    text = " ".join(f"{step.say}." for step in procedure.steps)
    estimate = speaking_seconds(text, WORDS_PER_MINUTE)
    assert 0.75 * estimate < voice.render(text).seconds < 1.05 * estimate
