"""Whatever a recogniser or a words file brings, the judge answers, and credits nothing for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.model import Procedure
from rehearse.events import Heard, SlotCheck, Word
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result
from rehearse.language.english import English

Says = Callable[..., Result]


def said(result: Result) -> list[str]:
    """The steps that were credited."""
    return [step.id for step in result.steps if step.verdict in {"said", "out_of_order"}]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\x00\x01\x1b[31m\x07",
        "🚪🔒🙂" * 200,
        "двери слева взведены " * 100,
        "二号左门预位并交叉检查" * 100,
        "الباب الثاني الأيسر مسلح " * 100,
        "a" + "\u0301" * 5000,
        "a" * 50_000,
        "9" * 500,
        "² ½ ٣ ४ Ⅳ",
        "' '' ''' - -- ' ' " * 100,
        "not " * 500,
        "no sorry no sorry " * 200,
        "and then " * 300,
        "one hundred " * 300,
        "door two " * 300,
        "c c c c 1 c 2 c",
        "\u202edemra tfel owt rood\u202c",
        "{heard} {say} {0} %s",
    ],
    ids=lambda text: repr(text[:12]),
)
def test_odd_texts_credit_nothing(says: Says, arm: Procedure, text: str) -> None:
    """Other scripts, pictures, control characters and endless repeats are no step."""
    assert said(says(arm, text)) == []


def test_marks_around_words_do_not_hide_them(says: Says, arm: Procedure) -> None:
    """Invisible characters and pictures between the words leave the words readable."""
    text = "🚪 Door two left… ARMED – and\u00a0cross-checked! 🙂"
    assert said(says(arm, text)) == ["call"]


def test_braces_are_only_text(says: Says, arm: Procedure) -> None:
    """What was heard is quoted in the reason as it stands, braces and all."""
    result = says(arm, "turn the mode drum a quarter turn towards the hinge to {disarmed}")
    assert "{disarmed}" in result.step("drum").heard
    assert "{disarmed}" in result.step("drum").why


def test_a_thousand_words_in_one_breath(
    says: Says, arm: Procedure, perfect: tuple[str, ...]
) -> None:
    """Steps are found at the end of a very long utterance."""
    talk = "and so we went on about the weather and the hotel that night " * 80
    assert said(says(arm, talk + " ".join(perfect))) == [
        "flap",
        "drum",
        "pin",
        "panes",
        "call",
    ]


def test_many_takes_in_a_row(says: Says, arm: Procedure, perfect: tuple[str, ...]) -> None:
    """Saying everything thirty times over counts once, at the first time."""
    once, often = says(arm, *perfect), says(arm, *(perfect * 30))
    assert [step.start for step in often.steps] == [step.start for step in once.steps]
    assert often.passed


@given(st.lists(st.text(max_size=60), max_size=4))
@settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
def test_any_texts_are_judged(says: Says, arm: Procedure, texts: list[str]) -> None:
    """Whatever the texts, there is a verdict on every step."""
    assert len(says(arm, *texts).steps) == len(arm.steps)


@pytest.mark.parametrize(
    "heards",
    [
        [Heard(5.0, 5.0, "open the flap and pull the spring pin")],
        [Heard(5.0, 1.0, "open the flap and pull the spring pin")],
        [Heard(9.0, 10.0, "pull the pin"), Heard(1.0, 2.0, "open the flap")],
        [Heard(0.0, 1.0, "open the flap", words=(Word("open", 0.0, 0.1),))],
        [Heard(0.0, 1.0, "open it", checks=(SlotCheck(40, 3, "x", "y", -1.0),))],
        [Heard(0.0, 1.0, "open it", checks=(SlotCheck(0, 0, "", "not", -1.0),))],
        [Heard(0.0, 1e9, "open the flap"), Heard(0.0, 0.0, "...")],
    ],
)
def test_odd_times_and_checks(
    rule: Readers, english: English, arm: Procedure, heards: Sequence[Heard]
) -> None:
    """Times that run backwards, too few words or checks beyond the text do not upset it."""
    assessor = Assessor(arm, rule, english)
    for heard in heards:
        assessor.add(heard)
    assert len(assessor.result().steps) == len(arm.steps)
