"""What an oral check hears, ignores and ends on: no help, no word before consent."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.reader import read
from rehearse.check.flow import Act, OralCheck, remarks_of
from rehearse.check.live import act_of
from rehearse.check.order import draw
from rehearse.coach.actions import Action, Finish, Say, StopListening, Tick
from rehearse.errors import RehearseError
from rehearse.events import (
    Aside,
    Ended,
    Event,
    Heard,
    Instructed,
    Requested,
    Stated,
    from_json,
    to_json,
)
from rehearse.judge.verdict import Result

PROCEDURE = read(Path(__file__).parents[2] / "procedures" / "tarn-240" / "arm-door-2l.yaml")
NOTHING = Result(PROCEDURE.id, 3, False, (), ())
STATED: tuple[Event, ...] = (
    Stated(0.0, "identity", "east-1"),
    Stated(0.0, "order", "seed 1: 1 of 1 drawn from 1"),
    Stated(0.0, "consent", "no"),
)


def run(*events: Event | Tick) -> tuple[OralCheck, list[Event | Tick], list[Action]]:
    """The check after these events, what became of each, and all it did."""
    check = OralCheck(PROCEDURE)
    became: list[Event | Tick] = []
    done: list[Action] = []
    for event in events:
        read_as = check.read(event) if isinstance(event, Heard) else event
        check, actions = check.step(getattr(read_as, "time", 0.0), read_as, NOTHING)
        became.append(read_as)
        done += actions
    return check, became, done


def test_nothing_is_judged_before_consent_is_stated() -> None:
    """Words said before identity and consent are no answer, and their text is not kept."""
    early = Heard(0.5, 1.5, "open the flap and pull the spring pin")
    check, became, _ = run(
        STATED[0], early, *STATED[1:], dataclasses.replace(early, start=3, end=4)
    )
    assert became[1] == Aside(0.5, 1.5, "early", "")
    assert isinstance(became[-1], Heard)
    assert not check.over


@pytest.mark.parametrize(("answer", "words"), [("yes", "is recorded"), ("no", "is not recorded")])
def test_the_announcement_says_whether_the_voice_is_kept(answer: str, words: str) -> None:
    """A candidate hears what becomes of the sound, the safety notice, and that there is no help."""
    *_, done = run(*STATED[:2], Stated(0.0, "consent", answer))
    (said,) = done
    assert isinstance(said, Say)
    assert words in said.text
    assert "training aid" in said.text
    assert "No help" in said.text


def test_no_help_is_ever_given() -> None:
    """Minutes of silence, wrong steps and pleas for a hint bring no word and no end."""
    pleas = [
        Heard(10.0 + at, 10.5 + at, text)
        for at, text in enumerate(("give me a hint", "say again", "what can I say", "start over"))
    ]
    wrong = Heard(20.0, 22.0, "turn the drum to disarmed")
    silence = [Tick(30.0 + at) for at in range(0, 600, 5)]
    check, became, done = run(*STATED, *pleas, wrong, *silence)
    assert [type(one) for one in became[3:8]] == [Requested] * 4 + [Heard]
    assert len(done) == 1  # the announcement
    assert not check.over


def test_what_is_said_in_a_pause_is_no_answer() -> None:
    """An utterance begun before a pause counts, one in it does not, even when understood later."""
    _, became, _ = run(
        *STATED,
        Instructed(10.0, Act.PAUSE),
        Heard(9.0, 11.0, "open the flap"),
        Instructed(20.0, Act.GO_ON),
        Heard(15.0, 16.0, "door two left armed"),
        Heard(21.0, 22.0, "let the pin snap home"),
    )
    assert isinstance(became[4], Heard)
    assert became[6] == Aside(15.0, 16.0, "pause", "")
    assert isinstance(became[7], Heard)


def test_questions_and_remarks_of_the_instructor_are_not_judged() -> None:
    """By key or by voice: the next utterance is the instructor's, the one after is an answer."""
    check, became, _ = run(
        *STATED,
        Instructed(5.0, Act.REMARK, "hesitates"),
        Instructed(6.0, Act.REMARK),
        Heard(5.5, 5.9, "open the flap"),
        Heard(6.5, 7.5, "very fluent here"),
        Instructed(8.0, Act.QUESTION),
        Heard(8.5, 9.5, "which way is the hinge"),
        Heard(10.0, 11.0, "towards the frame"),
    )
    assert [(r.text, r.second) for r in check.remarks] == [
        ("hesitates", 5.0),
        ("very fluent here", 6.5),
    ]
    assert isinstance(became[5], Heard)
    assert became[8] == Aside(8.5, 9.5, "question", "which way is the hinge")
    assert isinstance(became[9], Heard)


@pytest.mark.parametrize("text", ["I am finished", "stop the practice"])
def test_the_candidates_word_ends_it(text: str) -> None:
    """Saying so ends the take; so does the end of the sound."""
    check, _, done = run(*STATED, Heard(5.0, 6.0, text))
    assert check.over
    assert [type(one) for one in done[1:]] == [StopListening, Finish]
    ended, _, _ = run(*STATED, Ended(9.0, "end of recording"))
    assert ended.over


def test_remarks_come_back_from_the_log_alone() -> None:
    """A check that was killed keeps the remarks made until then: its log has them all."""
    events: list[Event] = [
        *STATED,
        Instructed(5.0, Act.REMARK, "hesitates"),
        Aside(6.5, 7.5, "remark", "spoken"),
        Instructed(8.0, Act.REMARK),
        Aside(8.5, 9.0, "remark", "heard well"),
    ]
    logged = [from_json(to_json(event)) for event in events]
    assert [r.text for r in remarks_of(PROCEDURE, logged)] == ["hesitates", "heard well"]


@pytest.mark.parametrize(
    ("line", "act"),
    [
        ("p", Instructed(1.0, "pause")),
        ("G\n", Instructed(1.0, "go on")),
        ("r  too fast ", Instructed(1.0, "remark", "too fast")),
        ("q", Instructed(1.0, "question")),
        ("e", Instructed(1.0, "end")),
        ("pause", None),
        ("", None),
    ],
)
def test_a_typed_line_is_one_act(line: str, act: Instructed | None) -> None:
    """The instructor's keys mean what the screen says they do; anything else does nothing."""
    assert act_of(line, 1.0) == act


@given(st.sets(st.text("abcdefgh-", min_size=1), min_size=1, max_size=12), st.integers(), st.data())
def test_a_draw_can_be_drawn_again(names: set[str], seed: int, data: st.DataObject) -> None:
    """The seed alone decides: not the order of the names; fewer are the beginning of more."""
    count = data.draw(st.integers(1, len(names)))
    all_of_them = draw(sorted(names), seed).procedures
    assert draw(sorted(names, reverse=True), seed, count).procedures == all_of_them[:count]
    assert set(all_of_them) == names


def test_draws_are_fair() -> None:
    """Over many seeds each of six procedures comes first about as often as the others."""
    names = list("abcdef")
    first = [draw(names, seed).procedures[0] for seed in range(6000)]
    assert all(850 < first.count(name) < 1150 for name in names)


@pytest.mark.parametrize("count", [0, 3, -1])
def test_more_than_there_are_cannot_be_drawn(count: int) -> None:
    """A count that does not fit is one clear line."""
    with pytest.raises(RehearseError, match="ask for 1 to 2"):
        draw(["a", "b"], 1, count)
