"""What `review` does: shown, read aloud, practised, or asked where habits mislead."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence

from rehearse.book import shelf
from rehearse.cli.common import NOT_PASSED, PASSED, complain, devices
from rehearse.cli.recall_acts import ask, draw, load, scores
from rehearse.errors import RehearseError
from rehearse.record.text import renderable
from rehearse.register.asking import questions
from rehearse.register.differences import Difference, Habits, differences, topics
from rehearse.register.model import Register
from rehearse.register.review import Review, review
from rehearse.register.review_page import differences_page, review_page, spoken_review
from rehearse.register.shelf import find_register, position_of
from rehearse.safety import NOTICE
from rehearse.screen import SCREEN, PracticeView, waiting


def review_(options: argparse.Namespace) -> int:
    """Runs `review`; the exit status."""
    if options.differences:
        return _differences(options)
    if not options.aircraft or not options.position:
        raise RehearseError(
            "review: give --aircraft and --position, or --differences and two aircraft"
        )
    if options.words or options.audio:
        raise RehearseError("review: --words and --audio answer --differences, or 'recall'")
    return _position(options)


def _position(options: argparse.Namespace) -> int:
    register = find_register(options.aircraft)
    position = position_of(register, options.position)
    asked = draw(questions(register), options, position.id)
    found = review(register, position, shelf.all_procedures(), asked)
    if options.json:
        print(json.dumps(_as_json(found)))
    else:
        for line in review_page(found, answers=options.answers):
            print(line)
    if options.aloud:
        _read_aloud(found, options)
    return _practised(found, options) if options.practise else PASSED


def _as_json(found: Review) -> dict[str, object]:
    return {
        "aircraft": found.register.aircraft,
        "position": found.position.id,
        "duties": found.duties,
        "at_hand": found.at_hand,
        "procedures": [procedure.id for procedure in found.procedures],
        "questions": [
            {"question": q.id, "asked": q.ask, "answer": q.answer} for q in found.questions
        ],
        "notice": NOTICE,
    }


def _read_aloud(found: Review, options: argparse.Namespace) -> None:
    from rehearse.session.reading import read_aloud

    read_aloud(spoken_review(found), found.register.language, devices(options), complain)


def _practised(found: Review, options: argparse.Namespace) -> int:
    """Every procedure, then the questions, with models that are loaded once."""
    from rehearse.session.engine import load_engine
    from rehearse.session.studio import practise

    with waiting("loading the models"):
        engine = load_engine(found.register.language)
    status = PASSED
    for procedure in found.procedures:
        report, _folder = practise(procedure, engine, devices(options), PracticeView(), complain)
        SCREEN.print()
        SCREEN.print(renderable(report))
        status = max(status, PASSED if report.result.passed else NOT_PASSED)
    score = scores(found.register, engine)
    return max(status, ask(found.register, found.questions, score, engine, options))


def _differences(options: argparse.Namespace) -> int:
    habit, here = (find_register(name) for name in options.differences)
    position = position_of(here, options.position).id if options.position else ""
    found = differences(habit, here, position)
    if options.ask or options.words or options.audio:
        return _asked(habit, here, found, options)
    if options.json:
        for difference in found:
            print(json.dumps(_difference_as_json(habit, here, difference)))
        return PASSED
    compared = topics(habit, here, shelf.all_procedures(), position)
    for line in differences_page(habit, here, found, compared, position):
        print(line)
    return PASSED


def _difference_as_json(
    habit: Register, here: Register, difference: Difference
) -> dict[str, object]:
    return {
        "question": difference.here.id,
        "asked": difference.here.ask,
        "answers": {
            habit.aircraft: difference.habit.answer,
            here.aircraft: difference.here.answer,
        },
        "notice": NOTICE,
    }


def _asked(
    habit: Register, here: Register, found: Sequence[Difference], options: argparse.Namespace
) -> int:
    """The differing questions asked about the second aircraft; answers out of habit are told."""
    asked = draw([difference.here for difference in found], options)
    if not asked:
        raise RehearseError("review: the registers do not differ here; there is nothing to ask")
    engine = load(options, here.language)
    score = Habits(found, habit, here, scores(habit, engine), scores(here, engine))
    return ask(here, asked, score, engine, options)
