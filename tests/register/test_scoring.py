"""Answers to recall questions: any order, fair names, numbers exact, nothing that is not there."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from rehearse.events import Heard, SlotCheck
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.english import English
from rehearse.register.asking import questions
from rehearse.register.model import Register
from rehearse.register.question import Form, Question
from rehearse.register.scoring import Answers

Answer = Callable[..., Result]


@pytest.fixture(scope="module")
def asked(tarn_240: Register) -> dict[str, Question]:
    """Every question about the Tarn 240, by id."""
    return {question.id: question for question in questions(tarn_240)}


@pytest.fixture(scope="module")
def answers(tarn_240: Register) -> Answers:
    """What scores answers about the Tarn 240."""
    return Answers(tarn_240, English())


@pytest.fixture
def answer(asked: dict[str, Question], answers: Answers) -> Answer:
    """Scores utterances as the answer to a question."""

    def scored(question: str, *texts: str) -> Result:
        heards = [Heard(10.0 * at, 10.0 * at + 5, text) for at, text in enumerate(texts)]
        return answers.result(asked[question], heards)

    return scored


@pytest.mark.parametrize(
    ("question", "texts"),
    [
        ("contents-3r-aft", ["one smoke hood, the first aid kit and the beacon"]),
        ("contents-3r-aft", ["smoke hood beacon first-aid kit"]),
        ("contents-3r-aft", ["There is a locator beacon", "and a hood", "and a first-aid box"]),
        ("contents-1l-aft", ["two oxygen cylinders, a loudhailer, one hood and a first aid kit"]),
        ("contents-1l-aft", ["megaphone, first-aid kit, hood and portable oxygen, two"]),
        ("contents-1l-aft", [("three oxygen bottles, no, two oxygen bottles, megaphone, hood, "
                             "first-aid kit")]),
        ("contents-galley-aft", [("a pair of gloves, two gas extinguishers, one hood and the "
                                 "battery bag")]),
        ("contents-1l-aft", ["a megaphone to oxygen bottles, one hood, a first aid kit"]),
        ("contents-1l-panel", ["the evacuation panel and the emergency light switch"]),
        ("contents-2l-seat", ["a torch, a crew life vest and the interphone"]),
        ("places-megaphone", [("aft of two right, in the locker aft of door one left and at "
                              "station three left aft")]),
        ("places-megaphone", ["one left aft three left aft two right aft"]),
        ("places-megaphone", ["aft of doors one left, three left and two right"]),
        ("places-megaphone", ["behind two right", "behind 1L", "and behind door three left"]),
        ("places-beacon", ["in the locker behind door three right"]),
        ("places-escape-rope", ["behind the first officer's seat and behind the captain's"]),
        ("places-survival-pack", [("two in ceiling box one, two in box two and two in the ceiling "
                                  "box between doors three left and three right")]),
        ("number-oxygen-bottle-forward", ["three"]),
        ("number-oxygen-bottle-forward", ["There are 3 portable oxygen bottles"]),
        ("number-oxygen-bottle-forward", ["two at one left and one at one right, three in all"]),
        ("number-oxygen-bottle-forward", ["two, no, three"]),
        ("takers-beacon", ["C six takes it"]),
        ("takers-megaphone", ["C5, C1 and C3"]),
        ("opens-C4", ["two left"]),
        ("takes-C6", ["the first-aid kit, my torch and the locator beacon"]),
    ],
)  # fmt: skip
def test_fair_answers(answer: Answer, question: str, texts: list[str]) -> None:
    """If this fails, somebody who knows it must say it again."""
    result = answer(question, *texts)
    assert result.passed, result


@pytest.mark.parametrize(
    ("question", "text", "part", "verdict"),
    [
        ("contents-1l-aft", "three oxygen bottles, megaphone, hood, first-aid kit",
         "oxygen-bottle", Verdict.WRONG),
        ("contents-1l-aft", "oxygen bottles, megaphone, hood, first-aid kit",
         "oxygen-bottle", Verdict.INCOMPLETE),
        ("contents-1l-aft", "three or two oxygen bottles, megaphone, hood, first-aid kit",
         "oxygen-bottle", Verdict.UNCLEAR),
        ("contents-1l-aft", "two oxygen bottles, hood, first-aid kit",
         "megaphone", Verdict.NOT_SAID),
        ("contents-1l-aft", "two oxygen bottles, megaphone, hood and a kit",
         "first-aid-kit", Verdict.INCOMPLETE),
        ("contents-1l-aft", "two oxygen bottles, no megaphone, hood, first-aid kit",
         "megaphone", Verdict.WRONG),
        ("contents-galley-aft", "two pairs of gloves, two gas extinguishers, hood, battery pouch",
         "gloves", Verdict.WRONG),
        ("places-megaphone", "aft of one left and aft of two right", "3l-aft", Verdict.NOT_SAID),
        ("places-megaphone", "one left, two right and three left", "1l-aft", Verdict.INCOMPLETE),
        ("places-megaphone", ("forward of door one left in the locker, behind two right, behind "
         "three left"), "1l-aft", Verdict.INCOMPLETE),
        ("places-survival-pack", "one in ceiling box one, two in box two, two in box three",
         "ceiling-1", Verdict.WRONG),
        ("number-oxygen-bottle-forward", "two", "3", Verdict.WRONG),
        ("number-oxygen-bottle-forward", "two or three", "3", Verdict.UNCLEAR),
        ("number-oxygen-bottle-forward", "none", "3", Verdict.WRONG),
        ("number-oxygen-bottle-forward", "a few", "3", Verdict.NOT_SAID),
    ],
)  # fmt: skip
def test_faulty_parts(
    answer: Answer, question: str, text: str, part: str, verdict: Verdict
) -> None:
    """If this fails, a wrong, vague or missing part of an answer counts as right."""
    result = answer(question, text)
    assert result.step(part).verdict is verdict, result.step(part)
    assert not result.passed


@pytest.mark.parametrize(
    ("question", "text"),
    [
        ("contents-3r-aft", "beacon, first-aid kit, smoke hood and a megaphone"),
        ("places-beacon", "aft of three right and aft of three left"),
        ("takers-beacon", "C6 or C5"),
        ("opens-C4", "door two left and door two right"),
        ("takes-C6", "the beacon, the first-aid kit and the medical kit"),
    ],
)
def test_what_is_not_there(answer: Answer, question: str, text: str) -> None:
    """If this fails, naming everything there is counts as knowing it."""
    result = answer(question, text)
    assert not result.passed
    assert any(extra.dangerous for extra in result.extras)


def test_denying_what_is_not_there(answer: Answer) -> None:
    """If this fails, saying rightly that something is not there counts as a mistake."""
    assert answer("contents-3r-aft", "beacon, first-aid kit, smoke hood, but no megaphone").passed


def test_doubtful_sound(answers: Answers, asked: dict[str, Question]) -> None:
    """If this fails, a number that the sound does not bear out is credited."""
    words = ["three", "bottles"]
    checks = tuple(SlotCheck(at, 1, word, "", 0.5) for at, word in enumerate(words))
    heard = Heard(0, 2, " ".join(words), checks=checks, support=1.0)
    result = answers.result(asked["number-oxygen-bottle-forward"], [heard])
    assert result.steps[0].verdict is Verdict.UNCLEAR


def test_nothing_said(answer: Answer) -> None:
    """If this fails, silence is an answer."""
    assert {step.verdict for step in answer("contents-3r-aft").steps} == {Verdict.NOT_SAID}


def _told(question: Question) -> str:
    parts = [part.name for part in reversed(question.parts)]
    return f"{question.parts[0].count}" if question.form is Form.NUMBER else ", ".join(parts)


def _scored(answers: Answers, question: Question, text: str) -> Result:
    return answers.result(question, [Heard(0.0, 5.0, text)])


def _items(asked: dict[str, Question]) -> Sequence[Question]:
    return [question for question in asked.values() if question.form is not Form.SENTENCE]


def test_every_answer_as_it_is_told(answers: Answers, asked: dict[str, Question]) -> None:
    """If this fails, a question's own answer, parts reversed, is not accepted."""
    bad = [q.id for q in _items(asked) if not _scored(answers, q, _told(q)).passed]
    assert not bad


def test_every_answer_less_one_part(answers: Answers, asked: dict[str, Question]) -> None:
    """If this fails, some answer passes with a part missing, or the wrong part is told."""
    for question in _items(asked):
        for left_out in question.parts:
            rest = ", ".join(part.name for part in question.parts if part is not left_out)
            result = _scored(answers, question, rest or "I do not know")
            assert not result.passed, (question.id, rest)
            assert result.step(left_out.id).verdict is Verdict.NOT_SAID, (question.id, rest)


def test_every_answer_to_every_other_question(answers: Answers, asked: dict[str, Question]) -> None:
    """If this fails, the answer to one question passes as that to another."""
    known = _items(asked)
    for question in known:
        for other in known:
            if other.form is question.form and _wanted(other, question) != _wanted(question):
                result = _scored(answers, question, _told(other))
                assert not result.passed, (question.id, _told(other))


def _wanted(question: Question, spare_of: Question | None = None) -> set[tuple[str, int]]:
    """What must be named; numbers only where they must be."""
    spare = spare_of.spare if spare_of else frozenset()
    numbered = question.form in {Form.KINDS, Form.NUMBER}
    parts = [part for part in question.parts if part.id not in spare]
    return {(part.id, part.count if numbered else 1) for part in parts}


def test_every_number_off_by_one(answers: Answers, asked: dict[str, Question]) -> None:
    """If this fails, a wrong number of something passes."""
    for question in _items(asked):
        if question.form is not Form.KINDS or question.topic != "contents":
            continue
        for part in question.parts:
            others = [p.name for p in question.parts if p is not part]
            text = ", ".join([f"{part.count + 1} {part.bare}", *others])
            assert _scored(answers, question, text).step(part.id).verdict is Verdict.WRONG, text
