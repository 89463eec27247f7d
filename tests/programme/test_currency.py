"""Dates worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.model import Revision
from rehearse.programme.currency import Standing, in_force, standing
from rehearse.programme.history import Person, Result, Retraining
from rehearse.programme.model import Element, Window
from rehearse.programme.months import kept_until, local_day, local_days

YEARLY = Element(
    id="doors",
    title="Doors",
    aircraft=("tarn-240",),
    positions=("C4",),
    procedures=("arm", "disarm"),
    period=12,
    window=Window(3, "months"),
    method="oral",
    rule="TM 1",
    retention=36,
)
ANNA = Person("F001", positions=("C4",), aircraft=("tarn-240", "tarn-120"))


def day(text: str) -> date:
    """A date from its ISO form."""
    return date.fromisoformat(text)


def passed(text: str) -> Result:
    """A passed oral check on this day."""
    return Result("F001", "doors", day(text), "oral", "passed")


def failed(text: str, retraining: Retraining | None = None) -> Result:
    """A failed oral check on this day."""
    return Result("F001", "doors", day(text), "oral", "failed", retraining=retraining)


def stands(on: str, *results: Result, element: Element = YEARLY, person: Person = ANNA) -> Standing:
    """How the person stands on this day, with no revisions known."""
    return standing(element, person, results, day(on))


def of(result: Result, *procedures: str) -> Result:
    """The same check, on these procedures."""
    return replace(result, revisions=tuple((name, 1) for name in procedures))


ON_ARM, ON_DISARM = ("arm",), ("disarm",)


@pytest.mark.parametrize(
    ("failed_on", "passed_on", "state"),
    [
        (ON_ARM, [ON_DISARM], "failed"),
        (ON_ARM, [ON_DISARM, ON_DISARM], "failed"),
        (ON_ARM, [ON_DISARM, ON_ARM], "current"),
        (ON_ARM, [ON_ARM, ON_DISARM], "current"),
        (("arm", "disarm"), [ON_ARM], "failed"),
        (("arm", "disarm"), [ON_ARM, ON_DISARM], "current"),
        (ON_ARM, [()], "current"),  # a practical check of the whole element
        ((), [ON_DISARM], "current"),
        (("gone",), [ON_DISARM], "current"),  # the element no longer has it
        (ON_ARM, [("gone",)], "current"),
    ],
)
def test_a_pass_of_another_procedure_does_not_hide_a_failure(
    failed_on: tuple[str, ...], passed_on: list[tuple[str, ...]], state: str
) -> None:
    """Drawn procedures of one sitting: one passed after the failed one must not make it good."""
    closed = Retraining(day("2026-03-14"))
    results = [of(failed("2026-03-14", closed), *failed_on)]
    results += [of(passed("2026-03-14"), *names) for names in passed_on]
    assert stands("2026-03-20", *results).state == state
    still_open = [replace(results[0], retraining=Retraining()), *results[1:]]
    assert stands("2026-03-20", *still_open).state == "blocked"


@pytest.mark.parametrize(
    ("on", "state"),
    [
        ("2026-03-13", "never"),
        ("2026-03-14", "current"),
        ("2026-12-31", "current"),
        ("2027-01-01", "in_window"),
        ("2027-02-28", "in_window"),
        ("2027-03-01", "due"),
        ("2027-03-31", "due"),
        ("2027-04-01", "overdue"),
        ("2031-01-01", "overdue"),
    ],
)
def test_a_year_counts_from_the_end_of_the_month(on: str, state: str) -> None:
    """Checked on 14 March 2026: valid to 31 March 2027, the window opens on 1 January 2027."""
    found = stands(on, passed("2026-03-14"))
    assert found.state == state
    if state != "never":
        assert (found.last, found.valid_until) == (day("2026-03-14"), day("2027-03-31"))
        assert found.window_opens == day("2027-01-01")


@pytest.mark.parametrize(
    ("second", "until"),
    [
        ("2026-12-31", "2027-12-31"),  # a day before the window: counts from its own month
        ("2027-01-01", "2028-03-31"),  # first day of the window: keeps the anchor
        ("2027-03-31", "2028-03-31"),  # last valid day: keeps the anchor
        ("2027-04-01", "2028-04-30"),  # a day too late: counts from its own month
        ("2026-03-20", "2027-03-31"),  # in the month of the first: nothing changes
    ],
)
def test_only_a_check_in_the_window_keeps_the_anchor(second: str, until: str) -> None:
    """After 14 March 2026, the second check's day decides which month the next year counts from."""
    found = stands(second, passed("2026-03-14"), passed(second))
    assert found.valid_until == day(until)


def test_no_passed_check_shortens_a_validity() -> None:
    """Passed in January and again in February of one window: still valid to the later March."""
    found = stands("2027-03-01", passed("2026-03-14"), passed("2027-01-10"), passed("2027-02-10"))
    assert found.valid_until == day("2028-03-31")


@pytest.mark.parametrize(
    ("checked", "months", "until"),
    [
        ("2024-02-29", 12, "2025-02-28"),
        ("2023-02-28", 12, "2024-02-29"),
        ("2024-02-29", 48, "2028-02-29"),
        ("2025-08-31", 6, "2026-02-28"),
        ("2023-08-31", 6, "2024-02-29"),
        ("2025-12-31", 1, "2026-01-31"),
        ("2099-02-10", 12, "2100-02-28"),
    ],
)
def test_months_end_where_they_end(checked: str, months: int, until: str) -> None:
    """Leap days and short months: a validity ends with the last day its month has that year."""
    element = replace(YEARLY, period=months, window=Window())
    found = stands(checked, passed(checked), element=element)
    assert found.valid_until == day(until)
    assert found.window_opens == day(until) + timedelta(days=1)


def test_a_window_of_days_counts_the_last_valid_day() -> None:
    """30 days before the end of February 2024 open on the 31st of January."""
    element = replace(YEARLY, window=Window(30, "days"))
    first = passed("2023-02-10")
    assert stands("2024-01-30", first, element=element).state == "current"
    assert stands("2024-01-31", first, element=element).state == "in_window"
    early, inside = passed("2024-01-30"), passed("2024-01-31")
    assert stands("2024-03-01", first, early, element=element).valid_until == day("2025-01-31")
    assert stands("2024-03-01", first, inside, element=element).valid_until == day("2025-02-28")


def test_open_retraining_blocks_until_it_is_closed() -> None:
    """Failed on 5 February, passed on the 10th, retraining closed on the 12th: then it counts."""
    history = [
        passed("2026-03-14"),
        failed("2027-02-05", Retraining(day("2027-02-12"))),
        passed("2027-02-10"),
    ]
    before = stands("2027-02-11", *history)
    assert (before.state, before.blocked_since) == ("blocked", day("2027-02-05"))
    assert (before.last, before.valid_until) == (day("2026-03-14"), day("2027-03-31"))
    after = stands("2027-02-12", *history)
    assert (after.state, after.blocked_since) == ("current", None)
    assert after.valid_until == day("2028-03-31")
    assert stands("2027-02-04", *history).state == "in_window"
    never_closed = [history[0], failed("2027-02-05", Retraining()), history[2]]
    assert stands("2030-01-01", *never_closed).state == "blocked"


def test_a_failed_check_ends_what_was_valid() -> None:
    """After a failed check nothing is current until one is passed, whatever the dates say."""
    history = [passed("2026-03-14"), failed("2026-06-01", Retraining(day("2026-06-01")))]
    assert stands("2026-06-01", *history).state == "failed"
    assert stands("2026-06-02", *history, passed("2026-06-02")).state == "current"
    assert stands("2026-06-01", failed("2026-06-01")).state == "failed"


def test_the_order_recorded_decides_within_a_day() -> None:
    """Failed and then passed on one day is passed; the other way round it is failed."""
    fail, good = failed("2026-06-01"), passed("2026-06-01")
    assert stands("2026-06-01", fail, good).state == "current"
    assert stands("2026-06-01", good, fail).state == "failed"


def test_a_method_that_is_not_allowed_does_not_count() -> None:
    """A practical check cannot renew an oral element, but failing it is not passed over."""
    practical = replace(passed("2026-03-14"), method="practical")
    assert stands("2026-04-01", practical).state == "never"
    assert stands("2026-04-01", practical, element=replace(YEARLY, method="both")).last
    failure = replace(failed("2026-03-20"), method="practical")
    assert stands("2026-04-01", passed("2026-03-14"), failure).state == "failed"


def test_only_the_time_of_employment_counts() -> None:
    """Checks before the first day were another operator's; nobody is due before or after."""
    person = replace(ANNA, employed=day("2026-03-15"), left=day("2026-09-30"))
    history = [passed("2026-03-14")]
    assert stands("2026-03-14", *history, person=person).state == "not_employed"
    assert stands("2026-03-15", *history, person=person).state == "never"
    history.append(passed("2026-03-15"))
    assert stands("2026-09-30", *history, person=person).state == "current"
    assert stands("2026-10-01", *history, person=person).state == "not_employed"


@pytest.mark.parametrize(
    ("positions", "aircraft", "needed"),
    [
        (("C4",), ("tarn-240",), True),
        (("C1", "C4"), ("tarn-120", "tarn-240"), True),
        (("C1",), ("tarn-240",), False),
        (("C4",), ("tarn-120",), False),
        ((), ("tarn-240",), False),
        (("C4",), (), False),
        (None, None, True),
    ],
)
def test_an_element_is_for_its_positions_and_aircraft(
    positions: tuple[str, ...] | None, aircraft: tuple[str, ...] | None, needed: bool
) -> None:
    """It takes one position and one aircraft in common; what is not recorded never excuses."""
    person = replace(ANNA, positions=positions, aircraft=aircraft)
    assert (stands("2026-01-01", person=person).state == "never") is needed


def test_an_element_for_all_is_for_every_crew_member() -> None:
    """No positions and no aircraft in an element mean everyone, but nobody who is no crew."""
    element = replace(YEARLY, positions=(), aircraft=())
    assert stands("2026-01-01", person=replace(ANNA, aircraft=()), element=element).state == "never"
    office = replace(ANNA, positions=())
    assert stands("2026-01-01", person=office, element=element).state == "not_required"


ARM = (Revision(1, day("2026-01-01"), "a"), Revision(2, day("2026-06-01"), "b"))


@pytest.mark.parametrize(
    ("asked", "on", "stale"),
    [
        ((), "2026-05-31", ()),
        ((), "2026-06-01", ("arm",)),  # by date: checked on 14 March, revised on 1 June
        ((("arm", 1),), "2026-05-31", ()),
        ((("arm", 1),), "2026-06-01", ("arm",)),
        ((("arm", 2),), "2026-06-01", ()),  # asked by the new text before it was in force
        ((("arm", 2),), "2026-05-31", ()),
        ((("disarm", 9),), "2026-06-01", ("arm",)),
    ],
)
def test_a_revision_makes_a_check_stale(
    asked: tuple[tuple[str, int], ...], on: str, stale: tuple[str, ...]
) -> None:
    """From the day a newer revision is in force, the check counts as stale, and not before."""
    result = replace(passed("2026-03-14"), revisions=asked)
    found = standing(YEARLY, ANNA, [result], day(on), {"arm": ARM})
    assert found.stale == stale
    assert found.state == ("stale" if stale else "current")


def test_an_old_text_used_after_a_revision_is_stale() -> None:
    """A check on 1 July by revision 1, when revision 2 was in force, does not pass for current."""
    late = replace(passed("2026-07-01"), revisions=(("arm", 1),))
    assert standing(YEARLY, ANNA, [late], day("2026-07-02"), {"arm": ARM}).stale == ("arm",)
    assert (
        standing(YEARLY, ANNA, [passed("2026-06-01")], day("2026-07-02"), {"arm": ARM}).stale == ()
    )


def test_the_revision_in_force_is_the_last_to_take_effect() -> None:
    """Order in the list does not matter; of two from one day the higher number is in force."""
    same_day = Revision(3, day("2026-06-01"), "c")
    assert in_force([same_day, *ARM], day("2026-06-01")) == same_day
    assert in_force(ARM[::-1], day("2026-05-31")) == ARM[0]
    assert in_force(ARM, day("2025-12-31")) is None


def test_records_are_kept_to_the_end_of_a_month() -> None:
    """36 months from 29 February 2024 end with February 2027."""
    assert kept_until(YEARLY, day("2024-02-29")) == day("2027-02-28")


@pytest.mark.parametrize(
    ("moment", "zone", "local"),
    [
        ("2026-03-31T23:30:00+00:00", "Europe/Helsinki", "2026-04-01"),
        ("2026-03-31T23:30:00+00:00", "UTC", "2026-03-31"),
        ("2026-03-31T23:30:00+00:00", "America/Los_Angeles", "2026-03-31"),
        ("2026-10-24T21:30:00+00:00", "Europe/Helsinki", "2026-10-25"),  # summer time, UTC+3
        ("2026-10-25T21:30:00+00:00", "Europe/Helsinki", "2026-10-25"),  # winter time, UTC+2
        ("2024-02-28T10:30:00+00:00", "Pacific/Kiritimati", "2024-02-29"),
        ("2026-04-01T01:30:00+14:00", "UTC", "2026-03-31"),
    ],
)
def test_a_check_belongs_to_the_local_date(moment: str, zone: str, local: str) -> None:
    """The operator's clock decides the date, summer time and leap days included."""
    assert local_day(datetime.fromisoformat(moment), zone) == day(local)


def test_half_an_hour_decides_a_month() -> None:
    """A check at 23:30 UTC on the last of March is an April check in Helsinki: valid to April."""
    done = local_day(datetime(2026, 3, 31, 23, 30, tzinfo=UTC), "Europe/Helsinki")
    assert stands("2026-05-01", passed(str(done))).valid_until == day("2027-04-30")


def test_a_moment_without_a_zone_is_refused() -> None:
    """A naive time could be any date, so it is never guessed."""
    with pytest.raises(ValueError, match="store it in UTC"):
        local_day(datetime(2026, 3, 31, 23, 30), "UTC")  # noqa: DTZ001


@given(
    seconds=st.lists(st.integers(-2_000_000_000, 4_000_000_000), max_size=20),
    zone=st.sampled_from(
        ["UTC", "Europe/Helsinki", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe"]
    ),
)
def test_many_moments_have_the_dates_of_each(seconds: list[int], zone: str) -> None:
    """Working out many dates at once gives the date of each moment, changes of offset included."""
    seconds += [1_792_889_999, 1_792_890_000]  # around the end of summer time in Helsinki, 2026
    days = local_days(np.array(seconds, np.int64), zone)
    epoch = datetime(1970, 1, 1, tzinfo=timezone(timedelta()))
    for second, number in zip(seconds, days.tolist(), strict=True):
        moment = epoch + timedelta(seconds=second)
        assert date(1970, 1, 1) + timedelta(days=number) == local_day(moment, zone)
