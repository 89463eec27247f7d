"""Korean procedures, judged by their words: what is credited, what is open, what never is."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from typing import cast

import pytest

from rehearse.book.model import Procedure, Step
from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.language import load

KOREAN = load("ko")
BOOK = all_procedures([SHIPPED / "tarn-240-ko"])
STEPS = [(procedure, step) for procedure in BOOK for step in procedure.steps]
CRITICAL = [(p, s) for p, s in STEPS if s.critical]
PAUSE, PACE = 0.6, 2.5  # seconds between two steps, words a second
NO_READERS = cast("Readers", None)  # the step judges do not read Korean
OPEN = {Verdict.SAID, Verdict.UNCLEAR}
STEMS_OF = {"돌린다": "돌리", "당긴다": "당기", "보낸다": "보내", "자른다": "자르",
            "알린다": "알리", "기다린다": "기다리"}  # fmt: skip


def named(case: object) -> str | None:
    """A procedure's or step's id."""
    return case.id if isinstance(case, Procedure | Step) else None


@cache
def judge_of(procedure_id: str) -> Assessor:
    """The judge of a procedure, made once; `take` restarts it."""
    procedure = next(p for p in BOOK if p.id == procedure_id)
    return Assessor(procedure, NO_READERS, KOREAN)


def take(procedure: Procedure, sentences: Iterable[str]) -> Result:
    """The verdicts on sentences said one after the other."""
    judge = judge_of(procedure.id)
    judge.restart()
    start = 0.0
    for sentence in sentences:
        end = start + len(sentence.split()) / PACE
        judge.add(Heard(start, end, sentence))
        start = end + PAUSE
    return judge.result()


def said(procedure: Procedure, step: Step, text: str) -> StepResult:
    """The step when only this is said."""
    return take(procedure, [text]).step(step.id)


def find(step_id: str, procedure_id: str) -> tuple[Procedure, Step]:
    """A shipped step."""
    return next((p, s) for p, s in STEPS if (p.id, s.id) == (procedure_id, step_id))


def test_there_are_ten_procedures() -> None:
    """The starter would lack some of its procedures, or hold a file that cannot be read."""
    assert len(BOOK) == 10
    assert {p.language for p in BOOK} == {"ko"}


@pytest.mark.parametrize("procedure", BOOK, ids=named)
def test_said_as_it_stands_it_passes(procedure: Procedure) -> None:
    """Somebody who recites the book word for word would not pass."""
    result = take(procedure, (step.say for step in procedure.steps))
    assert [s.id for s in result.steps if s.verdict is not Verdict.SAID] == []
    assert result.passed


@pytest.mark.parametrize(("procedure", "step"), STEPS, ids=named)
def test_every_wording_of_the_author_is_credited(procedure: Procedure, step: Step) -> None:
    """A wording that the file accepts would be refused."""
    assert {said(procedure, step, text).verdict for text in step.wordings} == {Verdict.SAID}


@pytest.mark.parametrize(("procedure", "step"), CRITICAL, ids=named)
def test_a_critical_step_left_out_is_not_credited(procedure: Procedure, step: Step) -> None:
    """A critical step that was never said would be credited from the words of other steps."""
    result = take(procedure, (s.say for s in procedure.steps if s.id != step.id))
    assert result.step(step.id).verdict is not Verdict.SAID
    assert not result.passed


@pytest.mark.parametrize(("procedure", "step"), STEPS, ids=named)
def test_no_forbidden_statement_is_credited(procedure: Procedure, step: Step) -> None:
    """The opposite of a step would be credited, alone or in its place."""
    for text in step.never:
        assert said(procedure, step, text).verdict is not Verdict.SAID
        whole = take(procedure, (text if s is step else s.say for s in procedure.steps))
        assert whole.step(step.id).verdict is not Verdict.SAID


@pytest.mark.parametrize(("procedure", "step"), CRITICAL, ids=named)
def test_no_opposite_of_a_critical_step_is_credited(procedure: Procedure, step: Step) -> None:
    """Another state, side, number, colour or direction would be credited."""
    opposites = KOREAN.contrasts(step.say)
    credited = [t for t in opposites if said(procedure, step, t).verdict is Verdict.SAID]
    assert credited == []


@pytest.mark.parametrize(
    "denial", ["{}는 것을 잊었다", "{}지 않는다", "{}지 마세요", "{}려고 했다", "{}까요?"]
)
def test_a_denied_critical_step_is_not_credited(denial: str) -> None:
    """A critical step that is denied, only asked about or forgotten would be credited."""
    tried = 0
    for procedure, step in CRITICAL:
        ending = re.search(f"({'|'.join(STEMS_OF)})$", step.say)
        if ending is None:
            continue
        text = denial.format(step.say[: ending.start()] + STEMS_OF[ending[0]])
        assert said(procedure, step, text).verdict is not Verdict.SAID, text
        tried += 1
    assert tried >= 8


@pytest.mark.parametrize(
    ("procedure_id", "step_id", "text"),
    [
        ("arm-door-2l-ko", "drum", "경첩 쪽으로 드럼을 사분의 일 바퀴 돌려서 팽창 위치에 맞춥니다"),
        ("arm-door-2l-ko", "panes", "문턱등이 켜져 있고 표시창 두 개가 호박색입니다"),
        ("arm-door-2l-ko", "flap", "먼저 덮개를 열고 스프링 핀을 뽑습니다"),
        ("open-door-emergency-ko", "toggle", "문턱 왼쪽에 있는 빨간 손잡이를 당깁니다"),
        ("open-door-emergency-ko", "hold", "승객을 6초 동안 막습니다 슬라이드가 차는 동안"),
        ("slide-not-inflated-ko", "opposite", "먼저 손님을 건너편 문으로 보냅니다"),
        ("ditching-door-3r-ko", "line", "마지막 사람이 탄 다음에 밧줄을 자릅니다"),
        ("cross-check-doors-ko", "flap", "반대편 문의 덮개를 닫았는지 확인합니다"),
        ("arm-door-2l-ko", "call", "동료에게 2번 왼쪽 문 팽창 위치, 상호 확인 완료라고 외친다"),
        ("arm-door-2l-ko", "call", "나는 2번 왼쪽 문 팽창 위치, 상호 확인 완료라고 말한다"),
        (
            "cross-check-doors-ko",
            "differ",
            "두 문의 상태가 다르면 드럼을 돌리기 전에 C1한테 알린다",
        ),
    ],
)
def test_a_fair_paraphrase_is_credited_or_open(procedure_id: str, step_id: str, text: str) -> None:
    """A correct speaker would be told that the step was wrong or not said."""
    procedure, step = find(step_id, procedure_id)
    assert said(procedure, step, text).verdict in OPEN


@pytest.mark.parametrize(
    ("procedure_id", "step_id", "text"),
    [
        ("arm-door-2l-ko", "drum", "모드 드럼을 경첩 쪽으로 돌린다"),
        ("arm-door-2l-ko", "panes", "표시창이 호박색이다"),
        ("open-door-emergency-ko", "hold", "슬라이드가 차는 오 초 동안 승객을 막는다"),
        ("open-door-emergency-ko", "wheel", "손바퀴를 열림 화살표 쪽으로 한 바퀴 돌린다"),
        (
            "ditching-door-3r-ko",
            "armed",
            "3번 왼쪽 문이 팽창 위치이고 두 표시창이 호박색인지 확인한다",
        ),
        ("ditching-door-3r-ko", "line", "마지막 사람이 타기 전에 밧줄을 자른다"),
        ("arm-door-2l-ko", "call", "2번 왼쪽 문 정상 위치, 상호 확인 완료"),
        ("arm-door-2l-ko", "call", "3번 왼쪽 문 팽창 위치, 상호 확인 완료"),
        ("arm-door-2l-ko", "call", "2번 왼쪽 문 팽창 위치, 상호 확인 완료라고 하지 않는다"),
        ("arm-door-2l-ko", "call", "2번 왼쪽 문 팽창 위치, 상호 확인 완료라고 할까요"),
        ("close-door-normal-ko", "grip", "문으로 손을 뻗는 동안 보조 손잡이를 잡으려고 했다"),
        ("close-door-normal-ko", "grip", "문으로 손을 뻗는 동안 보조 손잡이를 잡아야 합니까"),
        ("arm-door-2l-ko", "flap", "덮개를 열고 스프링 핀을 뽑는다 취소"),
        ("arm-door-2l-ko", "flap", "덮개를 열고 스프링 핀을 뽑는다, 아니 틀렸다"),
        ("arm-door-2l-ko", "flap", "덮개를 열고 스프링 핀을 뽑지 못한다"),
        ("arm-door-2l-ko", "flap", "덮개를 열고 스프링 핀을 뽑는 것이 아닙니다"),
        ("arm-door-2l-ko", "flap", "덮개를 열고 스프링 핀을 안뽑는다"),
        ("arm-door-2l-ko", "call", "2번 왼쪽 문 팽창 위치, 상호 확인 완료, 취소"),
        ("arm-door-2l-ko", "call", "2번 왼쪽 문 팽창 위치, 아니 정상 위치, 상호 확인 완료"),
        (
            "arm-door-2l-ko",
            "drum",
            "모드 드럼을 경첩 쪽으로 사분의 일 바퀴 돌려 팽창 위치가 아니라 정상 위치에 놓는다",
        ),
        ("exit-unusable-ko", "guard", "사용 가능 문을 지킨다"),
        ("cross-check-doors-ko", "flap", "반대편 문의 덮개가 열렸는지 확인한다"),
        ("close-door-normal-ko", "call", "2번 왼쪽 문 열림, 잠금 확인"),
        ("arm-door-2l-ko", "call", "동료가 2번 왼쪽 문 팽창 위치, 상호 확인 완료라고 외친다"),
        ("arm-door-2l-ko", "call", "C1이 2번 왼쪽 문 팽창 위치, 상호 확인 완료라고 합니다"),
    ],
)
def test_less_or_other_is_not_credited(procedure_id: str, step_id: str, text: str) -> None:
    """Half a step, or one with another number, side or order, would be credited."""
    procedure, step = find(step_id, procedure_id)
    assert said(procedure, step, text).verdict not in {Verdict.SAID, Verdict.OUT_OF_ORDER}


@pytest.mark.parametrize(
    ("procedure_id", "step_id", "text", "slip"),
    [
        ("arm-door-2l-ko", "call", "3번 왼쪽 문, 아니 2번 왼쪽 문 팽창 위치, 상호 확인 완료",
         "3번 왼쪽 문,"),
        ("arm-door-2l-ko", "panes",
         "두 표시창이 흰색, 아니요 호박색이고 문턱등이 켜졌는지 확인한다", "흰색,"),
        ("arm-door-2l-ko", "drum",
         "모드 드럼을 경첩 쪽으로 사분의 일 바퀴 돌려 정상 위치가 아니라 팽창 위치에 놓는다",
         "정상 위치가 아니라"),
        ("ditching-door-3r-ko", "toggle", "문턱 왼쪽의 빨간 손잡이를 밀어, 아니 당긴다", "밀어,"),
    ],
)  # fmt: skip
def test_a_slip_that_was_mended_is_credited(
    procedure_id: str, step_id: str, text: str, slip: str
) -> None:
    """A speaker who corrects the own word with "아니" would be told that it was wrong."""
    procedure, step = find(step_id, procedure_id)
    told = said(procedure, step, text)
    assert (told.verdict, told.slip) == (Verdict.SAID, slip)


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("마지막 사람이 탄 다음에 밧줄을 자른다", Verdict.SAID),
        ("마지막 사람이 타고 그다음 밧줄을 자른다", Verdict.SAID),
        ("밧줄을 자른 다음에 마지막 사람이 탄다", Verdict.WRONG),
        ("밧줄을 자른 후에 마지막 사람이 탄다", Verdict.WRONG),
        ("마지막 사람이 타기 전에 밧줄을 자른다", Verdict.WRONG),
    ],
)
def test_the_order_that_a_step_asks_for(text: str, verdict: Verdict) -> None:
    """The line would be cut while people still board, and the judge would not say so."""
    procedure, step = find("line", "ditching-door-3r-ko")
    assert said(procedure, step, text).verdict is verdict


def test_a_denied_before_is_an_after() -> None:
    """ "Not over before it is finished" would count as "over before it is finished"."""
    procedure, step = find("own", "cross-check-doors-ko")
    assert said(procedure, step, "자기 문을 끝내기 전에는 건너가지 않는다").verdict is Verdict.SAID
    assert said(procedure, step, "건너가기 전에는 자기 문을 끝내지 않는다").verdict not in OPEN


def test_reasons_are_korean() -> None:
    """A Korean trainee would be told what was wrong in English."""
    procedure, step = find("drum", "arm-door-2l-ko")
    told = said(procedure, step, "모드 드럼을 경첩 쪽으로 사분의 일 바퀴 돌려 정상 위치에 놓는다")
    assert told.verdict is Verdict.WRONG
    assert "정상, 맞는 것은 팽창" in told.why
    assert re.search(r"[A-Za-z]{3}", told.why) is None
