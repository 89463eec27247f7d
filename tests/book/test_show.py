from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.book.reader import read
from rehearse.book.show import WIDTH, listing, page
from rehearse.safety import NOTICE

Write = Callable[[str | bytes], Path]

WORDS = st.text("ab-\ud55c\uae00 ", min_size=1, max_size=200).filter(str.strip)
IDS = st.text("ab1-", min_size=1, max_size=60)
STEPS = st.lists(
    st.builds(
        Step,
        id=IDS,
        say=WORDS,
        critical=st.booleans(),
        command=st.booleans(),
        also=st.lists(WORDS, max_size=2).map(tuple),
        never=st.lists(WORDS, max_size=2).map(tuple),
        after=st.none() | st.just(()),
        reason=st.just("") | WORDS,
    ),
    min_size=1,
    max_size=5,
    unique_by=lambda step: step.id,
).map(tuple)
PROCEDURES = st.builds(
    Procedure,
    id=IDS,
    title=WORDS,
    aircraft=IDS,
    positions=st.lists(st.sampled_from(["C1", "C2", "FA12"]), max_size=40).map(tuple),
    language=st.just("en"),
    revision=st.builds(Revision, number=st.integers(0, 10**9), effective=st.dates(), source=WORDS),
    order=st.sampled_from(["strict", "free"]),
    pass_rule=st.builds(
        PassRule,
        critical=st.sampled_from(["all", "none"]),
        share=st.floats(0, 1),
        within=st.none() | st.floats(1, 3600),
    ),
    steps=STEPS,
)


def test_a_page_tells_all(write: Write, good: str) -> None:
    """Everything a procedure asks for stands on its page in words."""
    text = "\n".join(page(read(write(good))))
    for part in (
        "Arm door 2 left\n===============",
        "arm-door-2l, tarn-240",
        "crew         C4",
        "revision     3 of 2026-10-01, CSM 4.2.1",
        "passes with  all 4 steps, within 90 seconds of the first word",
        "  2  drum  CRITICAL\n     Turn the mode drum",
        "     never   turn the drum to disarmed",
        "     or      Lift the flap and pull out the spring pin",
        "     order   any time after step 2 (drum)",
        "     why     Only an armed door fills its slide.",
        "  4  call  COMMAND",
    ):
        assert part in text


def test_a_page_ends_with_the_safety_notice(write: Write, good: str) -> None:
    """Nobody may take the page for a manual."""
    assert NOTICE in " ".join(page(read(write(good))))


def test_a_page_tells_the_order_in_words(write: Write, good: str) -> None:
    """Free steps and steps after several others read as a sentence."""
    text = good.replace("after: [drum]", "after: []")
    text = text.replace("    command: true", "    command: true\n    after: [flap, drum, panes]")
    lines = page(read(write(text)))
    assert "     order   at any time" in lines
    assert "     order   any time after steps 1 (flap), 2 (drum) and 3 (panes)" in lines
    assert "order        as listed, except where a step says otherwise" in lines
    free = page(read(write(text.replace("order: strict", "order: free"))))
    assert "order        any, except where a step says what it follows" in free


def test_a_page_tells_the_pass_rule_in_words(write: Write, good: str) -> None:
    """What a take must have to pass is told in numbers of steps."""
    procedure = read(write(good))

    def passes(rule: PassRule) -> str:
        lines = page(replace(procedure, pass_rule=rule))
        return next(line for line in lines if line.startswith("passes with"))[13:]

    assert passes(PassRule("all", 0.5)) == "the critical step and at least 2 of 4 steps"
    assert passes(PassRule("none", 0.5)) == "at least 2 of 4 steps"
    assert passes(PassRule("all", 0.0)) == "the critical step"
    assert passes(PassRule("none", 0.0)) == "nothing in particular"
    assert passes(PassRule("all", 1.0)) == "all 4 steps"


def test_the_share_asks_for_whole_steps() -> None:
    """0.7 of ten steps are seven, not eight, although 0.7 * 10 is a little over 7 in binary."""
    assert [PassRule(share=share).least(10) for share in (0.0, 0.05, 0.7, 0.71, 1.0)] == [
        0, 1, 7, 8, 10,
    ]  # fmt: skip


def test_a_listing_groups_by_aircraft(write: Write, good: str) -> None:
    """Procedures stand under their aircraft, in the order of their ids."""
    one = read(write(good))
    other = replace(one, id="a-first", title="First", positions=())
    third = replace(one, aircraft="tarn-120", id="lever")
    assert listing([one, other, third]) == [
        "tarn-120",
        "  lever  Arm door 2 left",
        "         4 steps; C4; revision 3",
        "",
        "tarn-240",
        "  a-first      First",
        "               4 steps; every position; revision 3",
        "  arm-door-2l  Arm door 2 left",
        "               4 steps; C4; revision 3",
    ]


def test_an_empty_listing_says_so() -> None:
    """No procedures is an answer too."""
    assert listing([]) == ["There are no procedures here."]


@given(st.lists(PROCEDURES, max_size=3))
def test_lines_never_pass_eighty_columns(procedures: list[Procedure]) -> None:
    """Whatever a procedure holds, wide characters and endless words included, it fits."""
    for lines in [listing(procedures), *(page(procedure) for procedure in procedures)]:
        assert all(cell_len(line) <= WIDTH for line in lines)
        assert all("\n" not in line for line in lines)


@given(WORDS)
def test_wrapping_loses_nothing(say: str) -> None:
    """Every letter of a sentence is shown."""
    revision = Revision(1, date(2026, 10, 1), "CSM")
    step = Step(id="x", say=say)
    procedure = Procedure("p", "P", "a", (), "en", revision, "strict", PassRule(), (step,))
    lines = page(procedure)
    start = lines.index("  1  x") + 1
    shown = "".join(lines[start : lines.index("", start)])
    assert "".join(shown.split()) == "".join(say.split())
