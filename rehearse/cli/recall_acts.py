"""What `recall` does: at the microphone, from files, or showing what it would ask."""

from __future__ import annotations

import argparse
import json
import secrets
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rehearse import language
from rehearse.book.model import Procedure
from rehearse.book.show import labelled, wrapped
from rehearse.cli.common import NOT_PASSED, PASSED, UNUSABLE, complain, devices, say
from rehearse.errors import RehearseError
from rehearse.events import Heard
from rehearse.judge.verdict import Result
from rehearse.register.asking import drawn, questions
from rehearse.register.drill import Score
from rehearse.register.meaning import Scores
from rehearse.register.model import Register
from rehearse.register.question import Question
from rehearse.register.scoring import Answers
from rehearse.register.shelf import find_register, position_of
from rehearse.register.telling import whys
from rehearse.safety import NOTICE
from rehearse.screen import SCREEN, PracticeView, waiting
from rehearse.session.words import read_words

if TYPE_CHECKING:
    from rehearse.judge.assess import Assessor
    from rehearse.session.engine import Engine


def recall_(options: argparse.Namespace) -> int:
    """Runs `recall`; the exit status."""
    register = find_register(options.aircraft)
    position = position_of(register, options.position).id if options.position else ""
    asked = draw(questions(register), options, position)
    if options.list:
        _list(asked)
        return PASSED
    engine = load(options, register.language)
    return ask(register, asked, scores(register, engine), engine, options)


def draw(
    pool: Sequence[Question], options: argparse.Namespace, position: str = ""
) -> list[Question]:
    """The questions that the options ask for; the seed is shown, so that it can be given again."""
    files = len(options.words or options.audio)
    count = files or options.questions
    if count < 1:
        raise RehearseError("recall: --questions: ask at least one")
    if files and options.seed is None:
        raise RehearseError("recall: --seed: files answer a known draw; give its seed")
    seed = secrets.randbelow(100_000) if options.seed is None else options.seed
    if not options.json:
        say(f"seed {seed}")
    asked = drawn(pool, count, seed, position)
    if len(asked) < files:
        raise RehearseError(f"recall: there are only {len(asked)} questions for {files} files")
    return asked


def load(options: argparse.Namespace, spoken: str) -> Engine | None:
    """The models to hear this language, unless the answers are texts."""
    if options.words:
        return None
    from rehearse.session.engine import load_engine

    with waiting("loading the models"):
        return load_engine(spoken)


def ask(
    register: Register,
    asked: Sequence[Question],
    score: Score,
    engine: Engine | None,
    options: argparse.Namespace,
) -> int:
    """Asks, from files or at the microphone, and shows what became of it; the exit status."""
    if engine is None or options.audio:
        return _from_files(register, asked, score, engine, options)
    return _live(register, asked, score, engine, options)


def _list(asked: Sequence[Question]) -> None:
    for number, question in enumerate(asked, start=1):
        for line in wrapped(question.ask, f"{number:3}  ", " " * 5):
            print(line)
        for line in labelled("answer", question.answer, 5):
            print(line)
    _notice()


def _from_files(
    register: Register,
    asked: Sequence[Question],
    score: Score,
    engine: Engine | None,
    options: argparse.Namespace,
) -> int:
    files: list[Path] = options.words or options.audio
    right, status = 0, PASSED
    for question, path in zip(asked, files, strict=True):
        try:
            result = score(question, _heard(path, question, register, engine))
        except RehearseError as error:  # the other files can still be used
            status = UNUSABLE
            if options.json:
                print(json.dumps({"file": str(path), "error": str(error)}), flush=True)
            complain(error)
            continue
        right += result.passed
        if options.json:
            print(json.dumps({"file": str(path), **told(question, result)}), flush=True)
        else:
            _show(question, result)
    if not options.json:
        say(f"{right} of {len(files)} answers right.")
        _notice()
    return status or (PASSED if right == len(files) else NOT_PASSED)


def _heard(
    path: Path, question: Question, register: Register, engine: Engine | None
) -> Sequence[Heard]:
    if engine is None:
        return read_words(path)
    from rehearse.session.recalling import heard_in

    return heard_in(path, question, register, engine)


def scores(register: Register, engine: Engine | None) -> Scores:
    """What scores the answers; the judge of sentences is loaded when the first one comes."""

    @cache
    def readers() -> Any:  # noqa: ANN401 - known only once it is loaded
        from rehearse.session.engine import load_readers

        return engine.readers if engine is not None else load_readers()

    def assessor_of(procedure: Procedure) -> Assessor:
        from rehearse.judge.assess import Assessor

        return Assessor(procedure, readers(), language.load(procedure.language))

    return Scores(register, Answers(register, language.load(register.language)), assessor_of)


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


def _live(
    register: Register,
    asked: Sequence[Question],
    score: Score,
    engine: Engine,
    options: argparse.Namespace,
) -> int:
    from rehearse.session.recalling import recall

    choices = devices(options)
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


def _notice() -> None:
    print()
    for line in wrapped(NOTICE, "", ""):
        print(line)
