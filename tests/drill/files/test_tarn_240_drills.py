"""The shipped drills: complete, free of advice, told apart by ear, and they come to an end."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.book.beside import LEXICON
from rehearse.book.shelf import SHIPPED
from rehearse.drill.files.lint import lint_drill
from rehearse.drill.files.reader import read_drill
from rehearse.drill.files.shelf import drill_files, drill_stock
from rehearse.drill.files.writing import written
from rehearse.drill.model import END, Drill, Outcome
from rehearse.drill.running.answering import Answering
from rehearse.drill.running.plan import plan
from rehearse.drill.running.runner import Runner
from rehearse.drill.scoring.kinds import shouted
from rehearse.drill.scoring.meant import ByMeaning
from rehearse.drill.scoring.score import score
from rehearse.drill.scoring.shouts import sayings
from rehearse.drill.values import Run
from rehearse.events import CueEnded, Heard, StageOver
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Verdict
from rehearse.language import load
from rehearse.measured import Measured
from tests.drill.sample import Room

PATHS = tuple(drill_files(SHIPPED))
WANTED = {
    "signalled-evacuation": 6,
    "evacuation-without-signal": 7,
    "slide-fails": 6,
    "door-dead-before-opening": 6,
    "door-dead-during-use": 6,
    "both-doors-dead": 6,
    "dried-up-exit": 6,
    "smoke-inside": 6,
    "ditching-prepared": 6,
    "ditching-unprepared": 6,
    "decompression-commands": 7,
    "rapid-disembarkation": 6,
    "colleague-incapacitated": 6,
    "flight-deck-window-told": 2,
    "doors-to-armed": 5,
}


@pytest.fixture(scope="module")
def drills() -> tuple[Drill, ...]:
    """Every shipped drill, for its first position."""
    stock = drill_stock([SHIPPED])
    assert stock.broken == ()
    return stock.drills


def test_every_situation_has_its_drill(drills: tuple[Drill, ...]) -> None:
    """If this fails, a situation or a door is left that nobody can practise."""
    assert {d.id: len(d.positions) for d in drills if d.aircraft == "tarn-240"} == WANTED


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_nothing_to_mend(path: Path) -> None:
    """If this fails, a shipped drill has a fault or advice for one of its positions."""
    assert lint_drill(path) == []


def test_what_is_asked_for_counts_as_itself(drills: tuple[Drill, ...]) -> None:
    """If this fails, who shouts the operator's own words is told that they were wrong."""
    for drill in drills:
        language = load(drill.language).added(drill.lexicon)
        wordings = shouted(drill)
        for stage in drill.stages:
            for answer in (each for each in stage.answers if each.command):
                for words in answer.wordings:
                    (said,) = sayings([Heard(1.0, 3.0, words)], wordings, language)
                    assert (said.wording, said.verdict) == (words, Verdict.SAID), drill.id


def test_every_drill_comes_to_an_end(drills: tuple[Drill, ...]) -> None:
    """If this fails, some trainee stands in a drill that goes round for ever."""
    for drill in drills:
        for seed in range(20):
            luck, planned = random.Random(seed), plan(drill, seed)
            stage, seen = drill.stages[0].id, []
            while stage != END:
                seen.append(stage)
                assert len(seen) < 12, (drill.id, seen)
                stage = planned[stage].then[luck.choice(list(Outcome))]


def test_no_drill_is_the_same_every_time(drills: tuple[Drill, ...]) -> None:
    """If this fails, a drill can be learnt by heart."""
    for drill in drills:
        ways = {
            tuple(
                (planned.wait, tuple(planned.then.values())) for planned in plan(drill, s).values()
            )
            for s in range(10)
        }
        assert len(ways) == 10, drill.id
        again = plan(drill, 3)
        assert again == plan(drill, 3)


def test_written_out_it_is_the_same_drill(drills: tuple[Drill, ...], tmp_path: Path) -> None:
    """If this fails, a take is scored by another drill than the one that was heard."""
    (tmp_path / LEXICON).symlink_to(SHIPPED / "tarn-240" / LEXICON)
    path = tmp_path / "drill.yaml"
    for drill in drills:
        path.write_text(written(drill), "utf-8")
        assert read_drill(path) == drill


UNDERSTOOD = 0.6  # seconds from the end of a saying, as `Room.say` has it, and one tick


def _answered_rightly(room: Room) -> None:
    """A trainee begins a second after each cue, at three and a half words a second."""
    drill = room.runner.drill
    while not room.runner.over:
        room.wait(0.2)
        cues = [event for event in room.events if isinstance(event, CueEnded)]
        if len(cues) == _stages_over(room):
            continue
        room.wait(0.8)
        for answer in drill.stage(cues[-1].stage).answers:
            begun = room.now
            while _stages_over(room) < len(cues):
                room.say(answer.say, len(answer.say.split()) / 3.5)
                if room.now - UNDERSTOOD - begun >= answer.lasts:
                    break
                room.wait(0.5)


def _stages_over(room: Room) -> int:
    return sum(isinstance(event, StageOver) for event in room.events)


class _Unread:
    """A reader of meaning that sees no meaning: only the wording itself can be credited."""

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        return np.tile(np.array([0, 0, 0, 1], np.float32), (len(pairs), 1))


# One of each kind: commands again and again, a change, reports, calm, answers by meaning.
ANSWERED = (
    "colleague-incapacitated",
    "doors-to-armed",
    "flight-deck-window-told",
    "rapid-disembarkation",
    "slide-fails",
)


@pytest.mark.parametrize("drill_id", ANSWERED)
def test_whoever_answers_rightly_passes(drills: tuple[Drill, ...], drill_id: str) -> None:
    """If this fails, a drill asks for what nobody can do, or counts right commands as wrong."""
    drill = next(each for each in drills if each.id == drill_id)
    language = load(drill.language).added(drill.lexicon)
    readers = Readers(_Unread(), _Unread())
    meant = ByMeaning(drill, lambda procedure: Assessor(procedure, readers, language))
    room = Room(Runner(drill, 1, Answering(drill, language, meant), introduced=True))
    _answered_rightly(room)
    run = Run(drill, 1, False, Measured(None), Measured(0.0), tuple(room.events))
    result = score(run, np.zeros(0, np.float32), language, meant)
    faults = [
        (stage.id, *stage.faults, *(fault for each in stage.answers for fault in each.faults))
        for stage in result.stages
    ]
    assert result.passed, faults
    assert {stage.outcome for stage in result.stages} == {Outcome.ANSWERED}
