"""Whatever is written in a register or said in answer, there is a verdict or a mend."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.errors import BookError
from rehearse.events import Heard
from rehearse.language.english import English
from rehearse.register.asking import questions
from rehearse.register.model import Register
from rehearse.register.question import Form
from rehearse.register.reader import read_register
from rehearse.register.scoring import Answers
from tests.register.conftest import SMALL

WORDS = (
    "two three a no not megaphone megaphones torch pair of gloves kit bottle oxygen aft forward "
    "door one left right locker behind and or , . C4 C6 seat galley ceiling box none hood there "
    "is sorry in between to captain's"
).split()


@pytest.fixture(scope="module")
def answers(tarn_240: Register) -> Answers:
    """What scores answers about the Tarn 240."""
    return Answers(tarn_240, English())


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    words=st.lists(st.sampled_from(WORDS) | st.text(max_size=8), min_size=1, max_size=20),
    number=st.integers(0, 10_000),
)
def test_any_answer(answers: Answers, tarn_240: Register, words: list[str], number: int) -> None:
    """If this fails, some answer ends a drill with a traceback, or passes unproved."""
    asked = [q for q in questions(tarn_240) if q.form is not Form.SENTENCE]
    question = asked[number % len(asked)]
    result = answers.result(question, [Heard(0.0, 5.0, " ".join(words))])
    assert [step.id for step in result.steps] == [part.id for part in question.parts]
    for step in result.steps:
        assert step.why
        assert not step.heard or step.heard.strip(".,;:!?") in " ".join(" ".join(words).split())


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(SMALL)), length=st.integers(0, 12), text=st.text(max_size=6))
def test_any_slip_in_a_register(tmp_path: Path, at: int, length: int, text: str) -> None:
    """If this fails, a slip of the keyboard in a register ends in a traceback."""
    path = tmp_path / "aircraft.yaml"
    path.write_text(SMALL[:at] + text + SMALL[at + length :], "utf-8", "surrogatepass")
    with contextlib.suppress(BookError):
        register = read_register(path)
        assert questions(register)
