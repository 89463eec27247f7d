"""The book of the Tarn 120 as the judge takes it: whole, without critical steps, forbidden."""

from __future__ import annotations

import re
from collections.abc import Iterable

import pytest

from rehearse.book.model import Procedure
from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.english import English
from rehearse.session.engine import load_readers

BOOK = all_procedures([SHIPPED / "tarn-120"])
SOME = BOOK[::4]  # said to the judge here; `rehearse bench rehearsal` says them all
OTHER = all_procedures([SHIPPED / "tarn-240"])
COMPARING = {"silent-review-takeoff-120"}  # it names the other aircraft's habits to rule them out
OF_THE_OTHER = re.compile(
    r"\b(drum|spring pin|panes?|sill lamp|wheel|red toggle|six seconds|slide-raft|two by two)\b"
)
PAUSE = 0.6  # seconds between two steps
PACE = 2.5  # words a second


@pytest.fixture(scope="module")
def readers() -> Readers:
    """The step judges, loaded once."""
    return load_readers()


def take(judge: Assessor, sentences: Iterable[str]) -> Result:
    """The verdicts on sentences said one after the other."""
    judge.restart()
    start = 0.0
    for sentence in sentences:
        end = start + len(sentence.split()) / PACE
        judge.add(Heard(start, end, sentence))
        start = end + PAUSE
    return judge.result()


@pytest.mark.parametrize("procedure", SOME, ids=lambda procedure: procedure.id)
def test_said_as_it_stands_it_passes(procedure: Procedure, readers: Readers) -> None:
    """Somebody who recites the book word for word would not pass."""
    result = take(Assessor(procedure, readers, English()), (s.say for s in procedure.steps))
    assert [s.id for s in result.steps if s.verdict is not Verdict.SAID] == []
    assert result.passed


@pytest.mark.parametrize("procedure", SOME, ids=lambda procedure: procedure.id)
def test_no_critical_step_is_credited_from_the_others(
    procedure: Procedure, readers: Readers
) -> None:
    """A critical step that was never said would be credited from the words of other steps."""
    judge = Assessor(procedure, readers, English())
    result = take(judge, (s.say for s in procedure.steps if not s.critical))
    credited = {s.id for s in result.steps if s.verdict is Verdict.SAID}
    assert credited.isdisjoint(s.id for s in procedure.steps if s.critical)
    assert not result.passed


@pytest.mark.parametrize("procedure", SOME, ids=lambda procedure: procedure.id)
def test_what_is_forbidden_passes_for_no_step(procedure: Procedure, readers: Readers) -> None:
    """The opposite of a critical step, in its place in a whole recitation, would be credited."""
    judge = Assessor(procedure, readers, English())
    opposed = {s.id: s.never[0] for s in procedure.steps if s.never}
    result = take(judge, (opposed.get(s.id, s.say) for s in procedure.steps))
    assert {s.id for s in result.steps if s.verdict is Verdict.SAID}.isdisjoint(opposed)
    assert not result.passed


@pytest.mark.parametrize(
    "procedure", [p for p in BOOK if p.id not in COMPARING], ids=lambda procedure: procedure.id
)
def test_it_speaks_of_its_own_aircraft(procedure: Procedure) -> None:
    """Crew of the Tarn 120 would be taught the Tarn 240's drum, panes, wheel or toggle."""
    texts = [text for s in procedure.steps for text in s.wordings]
    assert [text for text in texts if OF_THE_OTHER.search(text.lower())] == []


def test_most_topics_are_shared_with_the_other_aircraft() -> None:
    """The comparison of two aircraft would find nothing to compare."""
    ours, theirs = ({p.topic for p in book} for book in (BOOK, OTHER))
    assert {"arm-door", "disarm-door", "open-door", "slide-not-inflated", "decompression"} <= ours
    assert len(ours & theirs) >= 13
