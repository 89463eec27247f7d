"""Thresholds of hearing found from kept results."""

from __future__ import annotations

from collections.abc import Callable

from rehearse.bench.hearing.fitting import (
    best_deciding,
    best_supported,
    deciding_words,
    fit_lines,
    supported,
)
from rehearse.bench.hearing.rows import TEXT, Row
from rehearse.bench.hearing.slots import Slot
from rehearse.hear.thresholds import THRESHOLDS
from rehearse.judge.thresholds import thresholds

MakeRow = Callable[..., Row]


def test_other_thresholds_are_worked_out_from_what_was_kept(row: MakeRow) -> None:
    """The fit would tell rates that the thresholds do not give."""
    words = deciding_words(
        [
            row(slots=(Slot("right", "right", 9.0), Slot("right", "right", 3.0))),
            row(slots=(Slot("right", "turned", 5.0),)),  # flipped to what was said
            row(slots=(Slot("turned", "turned", 2.0), Slot("turned", "turned", 7.0))),
            row(slots=(Slot("right", "right", None), Slot("lost", "lost", 1.0))),  # not tested
        ]
    )
    assert len(words.for_truth) == 5
    now = words.outcome(taken=4.0, doubt=4.0)
    assert (now.confused.hits, now.doubtful.hits) == (1, 2)
    rash = words.outcome(taken=4.0, doubt=0.0)
    assert (rash.confused.hits, rash.doubtful.hits) == (2, 0)
    slow = words.outcome(taken=6.0, doubt=0.0)  # by 5 nats it is not flipped, and so in doubt
    assert (slow.confused.hits, slow.doubtful.hits) == (2, 1)


def test_the_present_thresholds_stay_where_nothing_is_better(row: MakeRow) -> None:
    """A fit would move numbers for no reason."""
    words = deciding_words([row(slots=(Slot("right", "right", 9.0),))] * 50)
    assert best_deciding(words) == (THRESHOLDS.taken, thresholds().doubtful_margin)
    assert best_supported(supported([row()] * 50)) == THRESHOLDS.supported


def test_a_confusion_is_worth_many_askings(row: MakeRow) -> None:
    """The fit would trade a danger for a little comfort, or ask for the sake of asking."""
    sure_and_wrong = row(slots=(Slot("turned", "turned", 5.2),))
    doubted = [row(slots=(Slot("right", "right", 5.1),))] * 50
    _, doubt = best_deciding(deciding_words([sure_and_wrong, *doubted]))
    assert doubt > 5.2
    _, doubt = best_deciding(deciding_words([sure_and_wrong, *doubted * 4]))
    assert doubt <= 5.1


def test_support_is_fitted_on_what_was_refused_too(row: MakeRow) -> None:
    """Utterances that were refused though they were right would not count."""
    refused = row(heard="", support=0.2, slots=(Slot("lost", "right"),))
    assert best_supported(supported([refused] * 3)) <= 0.2
    turned = row(support=0.3, slots=(Slot("turned", "turned", 9.0),))
    assert best_supported(supported([turned, refused])) > 0.3


def test_only_sounds_of_fit_voices_are_fitted_on(row: MakeRow) -> None:
    """Numbers would be chosen by what the test voices give."""
    worse = (Slot("turned", "turned", 7.0),)
    rows = [
        row(voice="am_adam"),
        row(voice="am_adam", condition=TEXT),
        row(voice="am_adam", pipeline="whisper"),
        row(slots=worse),
    ]
    told = list(fit_lines(rows))
    assert told[0].startswith("1 utterances of 1 fit voices")
    found = next(line for line in told if line.startswith("fit, found"))
    assert found.split()[2:4] == [
        f"{now:.1f}" for now in (THRESHOLDS.taken, thresholds().doubtful_margin)
    ]
    assert max(map(len, told)) <= 100
    alone = list(fit_lines([row()]))
    assert alone[-1] == "no fit voice is among the results: there is nothing to fit on"
