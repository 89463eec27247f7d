"""What `recall` does: at the microphone, from files, or showing what it would ask."""

from __future__ import annotations

import argparse
import json
import secrets
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rehearse.book.model import Procedure
from rehearse.book.show import labelled, wrapped
from rehearse.cli.common import NOT_PASSED, PASSED, complain, say
from rehearse.errors import RehearseError
from rehearse.events import Heard
from rehearse.judge.verdict import Result
from rehearse.language.english import English
from rehearse.register.asking import drawn, questions
from rehearse.register.drill import whys
from rehearse.register.meaning import Scores
from rehearse.register.model import Register
from rehearse.register.question import Question
from rehearse.register.scoring import Answers
from rehearse.register.shelf import find_register, position_of
from rehearse.safety import NOTICE
from rehearse.screen import SCREEN, PracticeView, waiting
from rehearse.session.words import read_words

if TYPE_CHECKING:
    from rehearse.judge.assess import Assessor
    from rehearse.session.engine import Engine


def recall_(options: argparse.Namespace) -> int:
    """Runs `recall`; the exit status."""
    register = find_register(options.aircraft)
    asked = _drawn(register, options)
    if options.list:
        _list(asked)
        return PASSED
    if options.words or options.audio:
        return _from_files(register, asked, options)
    return _live(register, asked, options)


def _drawn(register: Register, options: argparse.Namespace) -> list[Question]:
    position = position_of(register, options.position).id if options.position else ""
    files = len(options.words or options.audio)
    count = files or options.questions
    if count < 1:
        raise RehearseError("recall: --questions: ask at least one")
    if files and options.seed is None:
        raise RehearseError("recall: --seed: files answer a known draw; give its seed")
    seed = secrets.randbelow(100_000) if options.seed is None else options.seed
    if not options.json:
        say(f"seed {seed}")
    return drawn(questions(register), count, seed, position)


def _list(asked: Sequence[Question]) -> None:
    for number, question in enumerate(asked, start=1):
        for line in wrapped(question.ask, f"{number:3}  ", " " * 5):
            print(line)
        for line in labelled("answer", question.answer, 5):
            print(line)
    _notice()


def _from_files(register: Register, asked: Sequence[Question], options: argparse.Namespace) -> int:
    files: list[Path] = options.words or options.audio
    if len(files) > len(asked):
        raise RehearseError(f"recall: there are only {len(asked)} questions for {len(files)} files")
    with waiting("loading the models"):
        engine = _engine() if options.audio else None
    score = scores(register, engine)
    right = 0
    for question, path in zip(asked, files, strict=True):
        result = score(question, _heard(path, question, register, engine))
        right += result.passed
        if options.json:
            print(json.dumps({"file": str(path), **told(question, result)}), flush=True)
        else:
            _show(question, result)
    if not options.json:
        say(f"{right} of {len(files)} answers right.")
        _notice()
    return PASSED if right == len(files) else NOT_PASSED


def _heard(
    path: Path, question: Question, register: Register, engine: Engine | None
) -> Sequence[Heard]:
    if engine is None:
        return read_words(path)
    from rehearse.session.recalling import heard_in

    return heard_in(path, question, register, engine)


def _engine() -> Engine:
    from rehearse.session.engine import load_engine

    return load_engine()


def scores(register: Register, engine: Engine | None) -> Scores:
    """What scores the answers; the judge of sentences is loaded when the first one comes."""

    @cache
    def readers() -> Any:  # noqa: ANN401 - known only once it is loaded
        from rehearse.session.engine import load_readers

        return engine.readers if engine is not None else load_readers()

    def assessor_of(procedure: Procedure) -> Assessor:
        from rehearse.judge.assess import Assessor

        return Assessor(procedure, readers(), English())

    return Scores(register, Answers(register, English()), assessor_of)


def told(question: Question, result: Result) -> dict[str, object]:
    """A question and what became of its answer, for other programs."""
    return {
        "question": question.id,
        "asked": question.ask,
        "right": result.passed,
        "answer": question.answer,
        "parts": [
            {
                "id": step.id,
                "verdict": step.verdict.value,
                "heard": step.heard,
                "start": step.start,
                "end": step.end,
                "why": step.why,
            }
            for step in result.steps
        ],
        "false": [
            {"heard": extra.heard, "dangerous": extra.dangerous, "why": extra.why}
            for extra in result.extras
        ],
    }


def _show(question: Question, result: Result) -> None:
    mark = "right" if result.passed else "not right"
    for line in wrapped(question.ask, "", "     "):
        print(line)
    print(f"     {mark}")
    for why in [] if result.passed else whys(result):
        for line in wrapped(why, " " * 5, " " * 5):
            print(line)
    if not result.passed:
        for line in labelled("answer", question.answer, 5):
            print(line)


def _live(register: Register, asked: Sequence[Question], options: argparse.Namespace) -> int:
    from rehearse.session.recalling import recall
    from rehearse.session.studio import Choices

    with waiting("loading the models"):
        engine = _engine()
    choices = Choices(
        headset=options.headset,
        takes=options.takes,
        microphone=_device(options.microphone),
        loudspeaker=_device(options.loudspeaker),
    )
    score = scores(register, engine)
    drill, folder = recall(
        register, asked, score, engine, choices, show=PracticeView(), tell=complain
    )
    for question, result in zip(drill.questions, drill.results, strict=False):
        if options.json:
            print(json.dumps(told(question, result)), flush=True)
        else:
            _show(question, result)
    if not options.json:
        _notice()
    SCREEN.print(f"Kept in {folder}", soft_wrap=True)
    whole = len(drill.results) == len(drill.questions)
    return PASSED if whole and all(r.passed for r in drill.results) else NOT_PASSED


def _device(name: str | None) -> int | str | None:
    return int(name) if name is not None and name.isdigit() else name


def _notice() -> None:
    print()
    for line in wrapped(NOTICE, "", ""):
        print(line)
