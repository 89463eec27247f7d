"""The spoken debrief of a drill: what is kept, what is changed, and that it stays short."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.coach.debrief import speaking_seconds
from rehearse.drill.phrasing import phrases
from rehearse.drill.scoring.telling import LOST
from rehearse.drill.shown.changing import changes
from rehearse.drill.shown.debrief import KEPT, SECONDS, debrief, told
from rehearse.drill.shown.keeping import keeps
from rehearse.drill.shown.points import Change, Keep, Point, answers, right
from rehearse.drill.values import DrillResult, Kind
from rehearse.errors import RehearseError
from rehearse.events import Overflow
from rehearse.judge.verdict import Verdict
from rehearse.measured import NOT_MEASURED, Measured
from rehearse.speak.cache import Cache
from rehearse.speak.voice import Voice
from tests.drill.shown.conftest import CALL, DEAD, evacuation, shout, with_answer

FAULT = ("A fault.",)
LATE = {"reaction": Measured(4.2, 0.1), "faults": FAULT}


def test_a_right_drill_keeps_two_things_and_changes_nothing(good: DrillResult) -> None:
    """Praise is about what was measured, and no fault is made up."""
    assert debrief(good) == (
        "The drill is passed. Two things to keep. "
        "You changed at once: 1.6 seconds to: Door dead! Turn back! "
        "You were quick: 1.2 seconds to: Belts off! Bags down! This way out! "
        "Nothing has to change."
    )


def test_a_late_answer_is_what_to_change(good: DrillResult) -> None:
    """It names the command, how long it took, and the limit; it is not praised as well."""
    text = debrief(with_answer(good, 0, **LATE))
    assert text.endswith(
        "One thing to change. You took 4.2 seconds to begin: Belts off! Bags down! This way out! "
        "The limit is 3 seconds."
    )
    assert "not passed" in text
    assert "quick" not in text


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({"verdict": Verdict.WRONG}, Change.WRONG),
        ({"verdict": Verdict.NOT_SAID}, Change.NOT_SAID),
        ({"verdict": Verdict.INCOMPLETE}, Change.INCOMPLETE),
        ({"verdict": Verdict.UNCLEAR}, Change.UNCLEAR),
        (LATE, Change.LATE),
        ({"went_on": Measured(4.0), "faults": FAULT}, Change.SHORT),
        ({"silence": Measured(5.0), "faults": FAULT}, Change.PAUSE),
        ({"level": Measured(3.0), "faults": FAULT}, Change.QUIET),
        ({"level": Measured(-3.0), "faults": FAULT}, Change.QUIET),
        ({"faults": FAULT}, Change.OTHER),
        ({"unevenness": Measured(0.5)}, Change.UNEVEN),
        ({"reaction": Measured(2.9)}, Change.SLOWEST),
    ],
)
def test_each_fault_is_found(good: DrillResult, changed: dict[str, Any], expected: Change) -> None:
    """A fault of any kind is told as that kind, in a sentence with the command or its reason."""
    result = with_answer(good, 0, **changed)
    first = changes(result)[0]
    assert first.about is expected
    result = replace(result, passed=not first.fault)
    either = (told(first, phrases("en")), told(first, phrases("en"), short=True))
    assert debrief(result).endswith(either)
    assert (CALL if expected is not Change.OTHER else "A fault.") in told(first, phrases("en"))


def test_the_worst_comes_first(good: DrillResult) -> None:
    """Forbidden, then old commands, then words, then times: only the worst is told."""
    worse = with_answer(good, 0, **LATE)
    found = [changes(worse)[0].about]
    worse = with_answer(worse, 1, verdict=Verdict.NOT_SAID, critical=False)
    found.append(changes(worse)[0].about)
    worse = with_answer(worse, 1, verdict=Verdict.WRONG, critical=True)
    found.append(changes(worse)[0].about)
    old = replace(shout(25.0, CALL, "fails", "signal.call"), kind=Kind.STALE)
    worse = replace(worse, shouts=(*worse.shouts, old))
    found.append(changes(worse)[0].about)
    never = replace(old, kind=Kind.FORBIDDEN, text="Slide! Two by two!")
    worse = replace(worse, shouts=(*worse.shouts, never))
    found.append(changes(worse)[0].about)
    expected = [Change.LATE, Change.LATE, Change.WRONG, Change.STALE, Change.FORBIDDEN]
    assert found == expected
    assert debrief(worse).endswith("You shouted: Slide! Two by two! That must never be said here.")


def test_an_old_command_is_told_in_the_words_of_the_drill(good: DrillResult) -> None:
    """Who shouts on after the change hears which command to leave off, and no praise for it."""
    old = replace(shout(25.0, "belts of bags down", "fails", "signal.call"), kind=Kind.STALE)
    result = replace(good, passed=False, shouts=(*good.shouts, old))
    assert debrief(result).endswith(f"After the change you still shouted: {CALL} Stop at once.")
    assert Keep.CHANGED not in [point.about for point in keeps(result)]


def test_no_level_without_a_calm_level(good: DrillResult) -> None:
    """Over full scale says nothing of how loud somebody was: it is neither praised nor blamed."""
    bare = replace(good, calm=NOT_MEASURED)
    assert Keep.LOUD in {point.about for point in keeps(good)}
    assert Keep.LOUD not in {point.about for point in keeps(bare)}
    quiet = with_answer(bare, 0, level=Measured(-30.0), faults=FAULT)
    assert changes(quiet)[0].about is Change.OTHER


def test_lost_sound_is_no_fault_of_the_trainee(good: DrillResult) -> None:
    """What could not be timed is to be done once more, not to be done better."""
    void = with_answer(good, 0, reaction=Measured(None, 0.0, LOST), faults=FAULT)
    assert changes(void)[0].about is Change.UNTIMED
    quiet = with_answer(void, 0, level=Measured(2.0, 0.5))
    assert changes(quiet)[0].about is Change.QUIET


def test_an_error_that_makes_up_for_it_is_no_lateness(good: DrillResult) -> None:
    """Three seconds give or take a tenth are not told as over three seconds."""
    unsure = with_answer(good, 0, reaction=Measured(3.05, 0.1), faults=FAULT)
    assert changes(unsure)[0].about is Change.OTHER


def test_an_answer_before_the_end_of_its_cue_is_not_timed_aloud(good: DrillResult) -> None:
    """ "You were quick, minus half a second" is nonsense."""
    early = with_answer(good, 0, reaction=Measured(-0.5, 0.1))
    assert "-0.5" not in debrief(early)
    assert Keep.QUICK in [point.about for point in keeps(good)]
    assert CALL not in [point.say for point in keeps(early) if point.about is Keep.QUICK]


def test_only_what_is_quick_is_called_quick(good: DrillResult) -> None:
    """In time, but only just, is no reason for praise."""
    just = with_answer(good, 0, reaction=Measured(2.5, 0.04))
    assert CALL not in [point.say for point in keeps(just) if point.about is Keep.QUICK]


def test_silence_is_told_as_silence(good: DrillResult) -> None:
    """Nothing is praised when nothing was said."""
    silent = replace(good, shouts=())
    for at in (0, 1):
        silent = with_answer(silent, at, verdict=Verdict.NOT_SAID, reaction=NOT_MEASURED)
    text = debrief(silent)
    assert text.startswith(
        "The drill is not passed yet. I heard no command of this drill. One thing to change."
    )
    assert "keep" not in text


def test_a_fault_without_a_name_is_not_called_perfect(good: DrillResult) -> None:
    """A drill that is not passed never hears that nothing has to change."""
    assert debrief(replace(good, passed=False)).endswith("The report says what to change.")


@pytest.mark.parametrize("why", ["stopped", "device", "end of recording"])
def test_a_drill_that_did_not_end_says_so(good: DrillResult, why: str) -> None:
    """The trainee hears that it was cut short, why, and that sound was lost."""
    cut = replace(good, passed=False, why_ended=why, lost=(Overflow(9.0, 0.2),))
    text = debrief(cut)
    assert text.startswith(phrases("en").text("debrief", why))
    assert "Some sound was lost" in text
    assert text.endswith("Go on to the end of the drill.")


def test_close_figures_are_told_apart(good: DrillResult) -> None:
    """ "3 seconds, and the limit is 3 seconds" would tell nobody anything."""
    late = with_answer(good, 0, reaction=Measured(3.04), faults=FAULT)
    assert "took 3.04 seconds" in debrief(late)
    quiet = with_answer(good, 0, level=Measured(9.8), faults=FAULT)
    assert "You were 9.8 decibels over your calm voice." in debrief(quiet)
    under = with_answer(good, 0, level=Measured(-1.2), faults=FAULT)
    assert "You were 1 decibel under your calm voice. The drill asks for 10" in debrief(under)


def test_every_point_has_its_sentence() -> None:
    """A point without words, or words for no point, is a slip in the phrases file."""
    words = phrases("en")
    assert set(words.sections["keep"]) == {keep.value for keep in Keep}
    assert set(words.sections["change"]) == {change.value for change in Change}
    for about in (*Keep, *Change):
        text = told(Point(about, CALL, 1.5, 3.0, "A reason."), words)
        assert text.endswith((".", "!"))
        assert "{" not in text


def test_a_language_without_sentences_is_named() -> None:
    """One line that says which and what to write, no traceback of a missing file."""
    with pytest.raises(RehearseError, match=r"'xx'.*language: en"):
        debrief(evacuation(), "xx")


WORDS = st.lists(st.sampled_from("Belts off! Bags down! Leave everything behind".split()))
SAYS = st.builds(lambda words: " ".join(["Go", *words]), WORDS)
MEASURES = st.one_of(
    st.just(NOT_MEASURED), st.builds(Measured, st.floats(-60, 600), st.floats(0, 3))
)


@st.composite
def results(draw: st.DrawFn) -> DrillResult:
    """Drills of any fortune, with commands of any length."""
    result = evacuation()
    for at in (0, 1):
        faults = draw(st.lists(SAYS, max_size=2))
        result = with_answer(
            result,
            at,
            say=draw(SAYS),
            critical=draw(st.booleans()),
            verdict=draw(st.sampled_from(Verdict)),
            faults=tuple(faults),
            **{
                name: draw(MEASURES)
                for name in ("reaction", "rate", "unevenness", "silence", "went_on", "level")
            },
        )
    kinds = draw(st.lists(st.sampled_from(Kind), max_size=4))
    shouts = (replace(shout(25.0, draw(SAYS), "fails", "signal.call"), kind=k) for k in kinds)
    return replace(
        result,
        passed=draw(st.booleans()),
        shouts=(*result.shouts, *shouts),
        drop=draw(MEASURES),
        strain=draw(MEASURES),
        lost=draw(st.sampled_from([(), (Overflow(9.0, 0.2),)])),
        why_ended=draw(st.sampled_from(["finished", "stopped", "device", "end of recording"])),
    )


@given(results())
@settings(max_examples=60)
def test_any_debrief_is_short_and_honest(result: DrillResult) -> None:
    """At most 25 seconds, at most two things kept, none of them with a fault."""
    text = debrief(result)
    assert speaking_seconds(text) <= SECONDS
    assert debrief(result) == text
    kept = keeps(result)[:KEPT]
    assert len({point.about for point in kept}) == len(kept)
    faultless = {answered.say for answered in answers(result) if right(answered)}
    assert all(p.say in faultless for p in kept if p.say and p.about is not Keep.SAID)


@pytest.fixture(scope="module")
def voice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Voice]:
    """The tool's voice at its own rate."""
    made = Voice("en", cache=Cache(tmp_path_factory.mktemp("speech")))
    yield made
    made.close()


@pytest.mark.parametrize("about", [Change.LATE, Change.QUIET, Change.STALE])
def test_really_spoken_it_takes_no_longer(voice: Voice, good: DrillResult, about: Change) -> None:
    """The estimate holds for figures with a point in them and for short shouted sentences."""
    result = {
        Change.LATE: with_answer(good, 0, **LATE),
        Change.QUIET: with_answer(good, 1, level=Measured(4.4), faults=FAULT),
        Change.STALE: replace(
            good,
            passed=False,
            lost=(Overflow(9.0, 0.2),),
            why_ended="device",
            shouts=(
                *good.shouts,
                replace(shout(25.0, CALL, "fails", "signal.call"), kind=Kind.STALE),
            ),
        ),
    }[about]
    assert changes(result)[0].about is about
    assert voice.render(debrief(result)).seconds <= SECONDS
    assert DEAD.split("!", maxsplit=1)[0] in debrief(result) or about is Change.STALE
