"""A drill in the loop of a practice, and what the recogniser is told to expect."""

from __future__ import annotations

import json
import queue
from itertools import count
from pathlib import Path

from rehearse.events import Heard, Listening, from_json
from rehearse.judge.verdict import Result
from rehearse.language.english import English
from rehearse.record.log import Log
from rehearse.register.asking import questions
from rehearse.register.drill import Drill
from rehearse.register.expected import expected
from rehearse.register.model import Register
from rehearse.register.question import Form
from rehearse.register.scoring import Answers
from rehearse.session.practise import Happenings, Practice
from rehearse.session.recalling import Kept, NoSteps
from tests.session.test_practise import FakeEars, FakeSpeaker


def test_a_drill_in_the_loop_of_a_practice(small: Register, tmp_path: Path) -> None:
    """If this fails, a drill at the microphone does not run, or its log does not tell of it."""
    asked = tuple(question for question in questions(small) if question.id == "takers-megaphone")
    happenings: Happenings = queue.SimpleQueue()
    ticks = count()
    log = Log(tmp_path / "recall.jsonl")

    def clock() -> float:
        return next(ticks) * 0.05

    practice = Practice(
        coach=Drill(small, asked, Answers(small, English()).result),
        assessor=NoSteps(Result("recall", 1, False, (), ())),
        ears=FakeEars(happenings),
        speaker=FakeSpeaker(happenings, clock, ""),
        writer=Kept(log),
        happenings=happenings,
        clock=clock,
        show=lambda _event: None,
        tell=lambda _text: None,
    )
    happenings.put(Listening(0.0))
    happenings.put(Heard(1.0, 2.0, "C one takes it"))
    happenings.put(Heard(2.5, 3.0, "next"))
    practice.run()
    log.close()
    assert [result.passed for result in practice.coach.results] == [True]
    rows = [json.loads(line) for line in (tmp_path / "recall.jsonl").read_text().splitlines()]
    kept = [from_json(row) for row in rows]
    assert Heard(1.0, 2.0, "C one takes it") in kept
    assert any("Right. 1 of 1 answers" in str(row.get("text")) for row in rows)


def test_the_right_answer_is_not_favoured(tarn_240: Register) -> None:
    """If this fails, the recogniser leans to what should be said, and hears it unsaid."""
    said = set(expected(tarn_240, {Form.KINDS, Form.STATIONS, Form.DOORS, Form.POSITIONS}))
    for kind in tarn_240.kinds:
        if not kind.fixed:
            assert {f"one {kind.name}", f"two {kind.plural}"} <= said
    assert {station.place for station in tarn_240.stations} <= said
    assert {door.name for door in tarn_240.doors} <= said
    assert {position.id for position in tarn_240.positions} <= said
