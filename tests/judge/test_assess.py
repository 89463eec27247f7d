"""The judge over whole takes, with readers that follow a rule."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.events import Heard
from rehearse.judge.assess import Assessor, passes
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.language.english import English

Says = Callable[..., Result]
Voice = Callable[[Sequence[str]], list[Heard]]

FLAP = "open the flap and pull the spring pin"
DRUM = "turn the mode drum a quarter turn towards the hinge to armed"
DISARMED = "turn the mode drum a quarter turn towards the hinge to disarmed"
PIN = "let the spring pin snap home and close the flap"
PANES = "check both witness panes show the amber band and the sill lamp is lit"
CALL = "door two left armed and cross checked"
CHATTER = [
    "um",
    "okay",
    "well let me see",
    "good morning everyone",
    "what a long day it has been",
    "thank you",
    "i had coffee with my colleague",
    "how many people are on board today",
]
# Things a trainee may say of this procedure: rightly, wrongly, in parts, all at once.
POOL = [
    FLAP, DRUM, DISARMED, PIN, PANES, CALL, "open the flap", "pull the spring pin", "to armed",
    "let the spring pin", "snap home and close the flap", "the sill lamp is out", "both panes",
    "check both witness panes show the amber band", "door two right armed and cross checked",
    "door two left armed", "no to armed", "sorry disarmed", "turn the mode drum",
    "armed no disarmed and then close the flap", f"{FLAP} {DRUM} {PIN} {PANES} {CALL}", *CHATTER,
]  # fmt: skip
takes = st.lists(st.sampled_from(POOL), max_size=7)
# The fixtures hold nothing that one example could leave behind for the next.
shared = settings(
    max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)


def verdicts(result: Result) -> dict[str, str]:
    """The verdicts by step, as they are printed."""
    return {step.id: step.verdict.value for step in result.steps}


def test_a_perfect_take(says: Says, arm: Procedure, perfect: tuple[str, ...]) -> None:
    """Every step said in its place: all said, nothing beyond, passed."""
    result = says(arm, *perfect)
    assert set(verdicts(result).values()) == {"said"}
    assert result.extras == ()
    assert result.passed
    assert (result.procedure, result.revision) == ("arm-door-2l", 3)
    assert [step.id for step in result.steps] == [step.id for step in arm.steps]


def test_a_perfect_take_in_one_breath(says: Says, arm: Procedure, perfect: tuple[str, ...]) -> None:
    """All steps in one utterance are the same steps."""
    result = says(arm, " ".join(perfect))
    assert set(verdicts(result).values()) == {"said"}


def test_silence(says: Says, arm: Procedure) -> None:
    """Nothing heard: nothing said of any step, no time, no extra, not passed."""
    result = says(arm)
    assert set(verdicts(result).values()) == {"not_said"}
    assert all(step.start is None and step.heard == "" for step in result.steps)
    assert all(step.probability == 0 for step in result.steps)
    assert result.extras == ()
    assert not result.passed


@pytest.mark.parametrize("text", ["", " ", "...", "um uh er", "♪ ♪", "?!"])
def test_sounds_without_words(says: Says, arm: Procedure, text: str) -> None:
    """Utterances without a word, and fillers, are silence."""
    assert set(verdicts(says(arm, text, text)).values()) == {"not_said"}


def test_an_omission(says: Says, arm: Procedure) -> None:
    """A step left out is not said, and the others are not touched by it."""
    found = verdicts(says(arm, FLAP, DRUM, PANES, CALL))
    assert found == {
        "flap": "said",
        "drum": "said",
        "pin": "not_said",
        "panes": "said",
        "call": "said",
    }


def test_the_opposite_of_a_critical_step(says: Says, arm: Procedure) -> None:
    """It is wrong, names what was said and what belongs there, is dangerous, and does not pass."""
    result = says(arm, FLAP, DISARMED, PIN, PANES, CALL)
    drum = result.step("drum")
    assert drum.verdict is Verdict.WRONG
    assert "disarmed" in drum.why
    assert "armed" in drum.why
    assert drum.heard == DISARMED
    assert [(e.heard, e.dangerous) for e in result.extras] == [(DISARMED, True)]
    assert not result.passed


def test_a_slip_mended_later(says: Says, arm: Procedure) -> None:
    """A wrong saying followed by the right one is said, and noted as corrected."""
    drum = says(arm, FLAP, DISARMED, DRUM, PIN, PANES, CALL).step("drum")
    assert drum.verdict is Verdict.SAID
    assert drum.corrected
    assert drum.heard == DRUM


def test_the_first_right_saying_counts(says: Says, arm: Procedure) -> None:
    """A step said twice counts where it was first said rightly, whatever comes later."""
    result = says(arm, FLAP, DRUM, PIN, PANES, CALL, DRUM)
    assert verdicts(result)["drum"] == "said"
    assert result.step("drum").start == says(arm, FLAP, DRUM).step("drum").start
    assert not result.step("drum").corrected


def test_a_step_over_two_utterances(says: Says, arm: Procedure) -> None:
    """A step that goes on after a pause is said, from its first word to its last."""
    result = says(arm, FLAP, "turn the mode drum a quarter turn", "towards the hinge to armed", PIN)
    drum = result.step("drum")
    assert drum.verdict is Verdict.SAID
    assert drum.end is not None
    assert drum.start is not None
    assert drum.end - drum.start > len(DRUM.split()) / 2.5


def test_out_of_order(says: Says, arm: Procedure) -> None:
    """A step said too early is out of order, and the reason names the step that comes first."""
    result = says(arm, FLAP, PIN, DRUM, PANES, CALL)
    assert verdicts(result) == {
        "flap": "said",
        "drum": "said",
        "pin": "out_of_order",
        "panes": "said",
        "call": "said",
    }
    assert "Turn the mode drum" in result.step("pin").why


def test_any_order_of_free_steps(says: Says, free: Procedure, perfect: tuple[str, ...]) -> None:
    """Where the procedure leaves the order free, none is wrong."""
    assert set(verdicts(says(free, *reversed(perfect))).values()) == {"said"}


def test_starting_over(
    rule: Readers, english: English, arm: Procedure, voice: Voice, perfect: tuple[str, ...]
) -> None:
    """After a restart the judge is as new: nothing said before counts."""
    assessor = Assessor(arm, rule, english)
    for heard in voice([DISARMED, *perfect]):
        assessor.add(heard)
    assessor.restart()
    assert set(verdicts(assessor.result()).values()) == {"not_said"}
    for heard in voice([FLAP]):
        assessor.add(heard)
    fresh = Assessor(arm, rule, english)
    for heard in voice([FLAP]):
        fresh.add(heard)
    assert assessor.result() == fresh.result()


@shared
@given(takes)
def test_live_and_afterwards_agree(
    rule: Readers, english: English, arm: Procedure, voice: Voice, texts: list[str]
) -> None:
    """Asking after every utterance ends in the very result of asking once, at the end."""
    live, after = Assessor(arm, rule, english), Assessor(arm, rule, english)
    for heard in voice(texts):
        live.add(heard)
        live.result()
        after.add(heard)
    assert live.result() == after.result()


@shared
@given(takes, st.sampled_from(CHATTER), st.integers(0, 7))
def test_chatter_between_utterances_changes_no_verdict(
    says: Says, arm: Procedure, texts: list[str], chatter: str, at: int
) -> None:
    """Fillers and talk of other things make no step better or worse."""
    halves = {"turn the mode drum", "check both witness panes show the amber band", "open the flap"}
    corrections = {"no to armed", "sorry disarmed"}
    while 0 < at < len(texts) and (texts[at - 1] in halves or texts[at] in corrections):
        at -= 1  # what is broken off, or taken back only after the chatter, is another matter
    assert verdicts(says(arm, *texts[:at], chatter, *texts[at:])) == verdicts(says(arm, *texts))


@pytest.mark.parametrize("filler", ["um", "well okay", "let me see"])
def test_a_filler_between_is_no_end(says: Says, arm: Procedure, filler: str) -> None:
    """Somebody who thinks aloud before they correct themselves would be held to the slip."""
    halves = ("turn the mode drum a quarter turn", "towards the hinge to armed")
    assert says(arm, DISARMED, filler, "no to armed").step("drum").verdict is Verdict.SAID
    assert (
        says(arm, *halves).step("drum").verdict
        is says(arm, halves[0], filler, halves[1]).step("drum").verdict
    )


@shared
@given(takes)
def test_names_of_steps_do_not_matter(says: Says, arm: Procedure, texts: list[str]) -> None:
    """Other ids, sorted the other way, give the same verdicts and extras."""
    named = {step.id: f"z{9 - at}" for at, step in enumerate(arm.steps)}
    renamed = replace(
        arm,
        steps=tuple(
            replace(
                step,
                id=named[step.id],
                after=None if step.after is None else tuple(named[i] for i in step.after),
            )
            for step in arm.steps
        ),
    )
    one, two = says(arm, *texts), says(renamed, *texts)
    assert [replace(step, id=named[step.id]) for step in one.steps] == list(two.steps)
    assert one.extras == two.extras


@shared
@given(takes, st.permutations(range(5)))
def test_the_files_order_of_free_steps_does_not_matter(
    says: Says, free: Procedure, texts: list[str], order: list[int]
) -> None:
    """A procedure whose order is free is judged the same however its file lists the steps."""
    shuffled = replace(free, steps=tuple(free.steps[at] for at in order))
    one, two = says(free, *texts), says(shuffled, *texts)
    assert {step.id: step for step in one.steps} == {step.id: step for step in two.steps}
    assert one.extras == two.extras


@shared
@given(takes, st.booleans())
def test_saying_less_never_credits_more(
    says: Says, free: Procedure, texts: list[str], first: bool
) -> None:
    """Without its first or last utterance a take has no step said that it did not say before.

    Without one from the middle it may: a step is allowed to fall into two utterances in a row, and
    what stood between its halves is gone then.
    """
    less, gone = (texts[1:], texts[:1]) if first else (texts[:-1], texts[-1:])
    if {"no to armed", "sorry disarmed"}.intersection(gone):
        return  # taking back a correction may well bring back what it corrected
    before, after = verdicts(says(free, *texts)), verdicts(says(free, *less))
    assert {s for s, v in after.items() if v == "said"} <= {
        s for s, v in before.items() if v == "said"
    }


@shared
@given(st.sampled_from([FLAP, DRUM, PIN, PANES, CALL]), st.data())
def test_fewer_words_never_credit_more(
    says: Says, free: Procedure, sentence: str, data: st.DataObject
) -> None:
    """If a step is said with some of its words, it is said with one of the missing ones too."""
    words = sentence.split()
    kept = sorted(data.draw(st.sets(st.integers(0, len(words) - 1), min_size=1)))
    dropped = data.draw(st.sampled_from(kept))
    more = verdicts(says(free, " ".join(words[at] for at in kept)))
    less = verdicts(says(free, " ".join(words[at] for at in kept if at != dropped)))
    assert {s for s, v in less.items() if v == "said"} <= {
        s for s, v in more.items() if v == "said"
    }


@shared
@given(takes)
def test_every_result_is_whole(says: Says, arm: Procedure, texts: list[str]) -> None:
    """One result a step, in the file's order; times, words and reason fit the verdict."""
    result = says(arm, *texts)
    assert [step.id for step in result.steps] == [step.id for step in arm.steps]
    for step in result.steps:
        assert 0 <= step.probability <= 1
        assert step.why
        assert "{" not in step.why
        nothing = step.verdict is Verdict.NOT_SAID
        assert nothing == (step.start is None) == (step.heard == "")
        assert step.start is None or (step.end is not None and step.start <= step.end)
        assert not step.corrected or step.verdict is Verdict.SAID
        assert not step.missing or step.verdict is Verdict.INCOMPLETE
    starts = [extra.start for extra in result.extras if extra.start is not None]
    assert starts == sorted(starts)


def results(*said: bool) -> list[StepResult]:
    """Results of the procedure's steps, each said or not, a second each."""
    ids = ("flap", "drum", "pin", "panes", "call")
    return [
        StepResult(i, Verdict.SAID if s else Verdict.WRONG, 0.5, "x", float(at), at + 1.0, "why")
        for at, (i, s) in enumerate(zip(ids, said, strict=True))
    ]


@pytest.mark.parametrize(
    ("rule", "said", "passed"),
    [
        (PassRule("all", 0.8), (True,) * 5, True),
        (PassRule("all", 0.8), (False, True, True, True, True), True),
        (PassRule("all", 0.8), (False, True, False, True, True), False),
        (PassRule("all", 0.0), (True, False, True, True, True), False),
        (PassRule("none", 0.8), (True, False, True, True, True), True),
        (PassRule("none", 1.0), (True, False, True, True, True), False),
        (PassRule("none", 0.0), (False,) * 5, True),
        (PassRule("all", 0.8, within=5.0), (True,) * 5, True),
        (PassRule("all", 0.8, within=4.9), (True,) * 5, False),
    ],
)
def test_the_pass_rule(
    arm: Procedure, rule: PassRule, said: tuple[bool, ...], passed: bool
) -> None:
    """Critical steps, the share and the time limit each can fail a take."""
    assert passes(replace(arm, pass_rule=rule), results(*said)) is passed


@given(st.integers(0, 100), st.lists(st.booleans(), min_size=1, max_size=60))
def test_the_pass_rule_agrees_with_the_book(percent: int, said: list[bool]) -> None:
    """The judge asks for as many steps as the book says it does, for every share in per cent."""
    rule = PassRule("none", percent / 100)
    procedure = _of_steps(len(said), rule)
    found = [
        StepResult(str(at), Verdict.SAID if s else Verdict.NOT_SAID, 0.5, "", None, None, "why")
        for at, s in enumerate(said)
    ]
    assert passes(procedure, found) is (sum(said) >= rule.least(len(said)))


def _of_steps(count: int, rule: PassRule) -> Procedure:
    steps = tuple(Step(str(at), "say this") for at in range(count))
    revision = Revision(1, date(2026, 1, 1), "s")
    return Procedure("p", "t", "a", ("C1",), "en", revision, "free", rule, steps)
