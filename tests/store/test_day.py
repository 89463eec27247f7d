"""One scripted day on both databases; every report against a calculation of the test's own."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime

import pytest

from rehearse.paper import export
from rehearse.paper.values import CheckRecord, TrainingRecord
from rehearse.programme.currency import revisions_of
from rehearse.reporting.oral import check_record
from rehearse.reporting.own import own_page
from rehearse.reporting.person import training_record
from rehearse.reporting.sheet import class_sheet
from rehearse.reporting.source import Source
from rehearse.store import Head
from tests.store.ledger import Entry, Stands, kappa, stands, theirs
from tests.store.script import AFTER, AGAIN, DAY, LEFT, RETRAINED, REVISED, Script, begin

WORDS = {
    "blocked": "retraining open",
    "failed": "not passed",
    "never": "not yet checked",
    "overdue": "overdue",
    "stale": "revision changed",
    "due": "due this month",
    "in_window": "in its window",
}
DAYS = (
    date(2026, 10, 4), DAY, RETRAINED, AGAIN, date(2026, 10, 19), REVISED, AFTER, LEFT,
    date(2026, 11, 1), date(2027, 4, 1), date(2027, 4, 30), date(2027, 7, 31), date(2027, 8, 1),
    date(2027, 10, 31), date(2028, 2, 29),
)  # fmt: skip


@dataclass(frozen=True)
class Told:
    """The day as it was, and where its reports come from."""

    script: Script
    source: Source

    def expected(self, number: str, on: date) -> dict[str, Stands]:
        """How this person stands with each element that is theirs, by the test's counting."""
        revised = {
            name: (one.revision.number, one.revision.effective)
            for name, one in self.script.procedures.items()
        }
        return {
            element.id: stands(self.script.ledger, number, element, on, revised)
            for element in theirs(self.script.programme, ("C4",), "tarn-240")
        }

    def here(self, on: date) -> tuple[str, ...]:
        """The trainees who have not left on this day."""
        return tuple(n for n in self.script.trainees if n != "T40" or on <= LEFT)


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def told(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Told]:
    """The whole day, once for each kind of database."""
    folder = tmp_path_factory.mktemp("day")
    url = f"sqlite:///{folder}/records.db"
    if request.param == "postgresql":
        fresh: Callable[[], str] = request.getfixturevalue("postgresql")
        url = fresh()
    script = begin(url, folder)
    script.run()
    source = Source(
        script.store,
        script.actors["I1"],
        script.programme,
        tuple(script.procedures.values()),
        datetime(2026, 10, 21, 12, tzinfo=UTC),
    )
    yield Told(script, source)
    script.store.close()


def test_the_day_is_as_varied_as_it_claims(told: Told) -> None:
    """A day on which nothing went wrong would prove nothing about overrules or retraining."""
    checks = [entry for entry in told.script.ledger if not entry.past]
    on_the_day = [entry for entry in checks if entry.day == DAY]
    assert len(on_the_day) == 400
    assert len({entry.person for entry in on_the_day}) == 40
    assert len({entry.examiner for entry in on_the_day}) == 3
    assert sum(bool(entry.overruled) for entry in checks) >= 20
    assert sum(not entry.passed and entry.signed for entry in checks) >= 20
    assert sum("unclear" in entry.verdicts.values() for entry in checks) == 5
    assert len(told.script.second) >= 200
    found = {told.expected(n, on)[e].state for on in DAYS for n in told.here(on) for e in
             told.expected(n, on)}  # fmt: skip
    assert found == {*WORDS.values(), "current"}


@pytest.mark.parametrize("on", DAYS, ids=str)
def test_the_due_list_is_right(told: Told, on: date) -> None:
    """Whoever is due, and why, agrees with counting by hand, on every sort of day."""
    script = told.script
    found = script.store.currency.due(
        script.administrator,
        script.programme.elements,
        on,
        revisions_of(script.procedures.values()),
    )
    assert {
        (each.staff, each.element): (WORDS[each.state], each.valid_until) for each in found
    } == {
        (number, element): (stand.state, stand.until)
        for number in told.here(on)
        for element, stand in told.expected(number, on).items()
        if stand.state != "current"
    }


@pytest.mark.parametrize("on", [DAY, AGAIN, AFTER, date(2027, 4, 1)], ids=str)
def test_every_training_record_is_right(told: Told, on: date) -> None:
    """Standing, last check, examiner, validity, overrules and retraining of all forty people."""
    for number in told.here(on):
        record = training_record(told.source, told.script.people[number].id, on)
        expected = told.expected(number, on)
        assert [one.id for one in record.elements] == list(expected)
        for one in record.elements:
            stand = expected[one.id]
            assert (one.standing, one.valid_until) == (stand.state, stand.until)
            own = _entries(told.script, number, one.id, on)
            last = max((e for e in own if e.counts), key=lambda e: e.at, default=None)
            assert one.checked == (last.day if last else None)
            assert one.outcome == (last.outcome if last else None)
            assert len(one.overrules) == (len(last.overruled) if last else 0)
            examiner = last.examiner if last else ""
            assert (one.examiner.staff_number if one.examiner else "") == examiner
            failed = [e for e in own if e.signed and not e.passed]
            assert len(one.retraining) == len(failed)
            closed = [e for e in failed if e.retrained and e.retrained <= on]
            assert sum(r.closed == RETRAINED for r in one.retraining) == len(closed)
            waiting = [e for e in own if not e.counts]
            assert ("not signed" in one.remark) == bool(waiting)
        _same_in_csv_and_json(record)


def _entries(script: Script, number: str, element: str, on: date) -> list[Entry]:
    return [e for e in script.ledger if (e.person, e.element) == (number, element) and e.day <= on]


def _same_in_csv_and_json(record: TrainingRecord) -> None:
    text = export.training_record_csv(record).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    told = json.loads(export.to_json(record))["elements"]
    for row, data, one in zip(rows, told, record.elements, strict=True):
        assert (row["element"], row["standing"], row["overrules"]) == (
            one.id, one.standing.value, str(len(one.overrules)),
        )  # fmt: skip
        assert row["valid_until"] == (one.valid_until.isoformat() if one.valid_until else "")
        assert (data["standing"], data["valid_until"]) == (
            one.standing.value,
            row["valid_until"] or None,
        )


@pytest.mark.parametrize("instructor", ["I1", "I2", "I3"])
def test_every_class_sheet_is_right(told: Told, instructor: str) -> None:
    """Each instructor's sheet has that instructor's candidates and the outcome of each element."""
    script = told.script
    sheet = class_sheet(told.source, script.people[instructor].id, DAY, "")
    own = [e for e in script.ledger if (e.examiner, e.day, e.past) == (instructor, DAY, False)]
    shown = {
        (row.person.staff_number, column.id): str(outcome)
        for row in sheet.candidates
        for column, outcome in zip(sheet.columns, row.outcomes, strict=True)
    }
    expected = {}
    for entry in own:
        key = (entry.person, entry.element)
        all_of_it = {e.outcome for e in own if (e.person, e.element) == key}
        worst = [w for w in ("not passed", "unclear", "passed") if w in all_of_it]
        expected[key] = worst[0]
    assert shown == expected
    unclear = [e for e in own if "unclear" in e.verdicts.values()]
    assert len(sheet.open_points) == len(unclear)
    signed = {e.person for e in own if e.signed}
    assert len(sheet.signatures) == len(signed)
    same = {e.person for e in own if e.signed and e.examiner == e.teacher}
    assert sum(bool(one.warning) for one in sheet.signatures) == len(same)


def test_every_check_record_is_right(told: Told) -> None:
    """Both verdicts of an overruled step stand on the record of its check, with draw and take."""
    script = told.script
    for entry in [e for e in script.ledger if e.overruled or e.day == AFTER]:
        record: CheckRecord = check_record(told.source, entry.result)
        assert record.outcome == entry.outcome
        procedure = script.procedures[entry.procedure]
        same = entry.revision == procedure.revision.number
        for line, step in zip(record.steps, procedure.steps, strict=True):
            assert (line.verdict, line.counts) == (entry.tool[step.id], entry.verdicts[step.id])
            assert line.say == (step.say if same else step.id)
            assert [(str(o.tool), str(o.instructor)) for o in line.overrules] == [
                (was, now) for name, was, now in entry.overruled if name == step.id
            ]
        assert dict(record.facts)["Procedure drawn"].startswith("seed ")
        assert (script.takes / record.take / "take.jsonl").is_file()


def test_agreement_is_the_one_counted_by_hand(told: Told) -> None:
    """Kappa over all second marks is that of the pairs the test kept."""
    script = told.script
    found = script.store.marks.agreement(script.administrator)
    pairs = script.second
    assert found.steps == len(pairs)
    assert found.agreed == pytest.approx(sum(a == b for a, b in pairs) / len(pairs))
    assert found.kappa == pytest.approx(kappa(pairs))
    assert found.low is not None
    assert found.high is not None
    assert found.low < kappa(pairs) < found.high


def test_own_pages_show_what_was_said(told: Told) -> None:
    """A trainee's page has every check's share of steps, and every step's verdicts in order."""
    script = told.script
    page = own_page(told.source, script.people["T01"].id)
    own = sorted((e for e in script.ledger if e.person == "T01" and not e.past), key=lambda e: e.at)
    assert [(p.procedure, p.said, p.passed) for p in page.practices] == [
        (e.procedure, sum(v == "said" for v in e.verdicts.values()), e.passed) for e in own
    ]
    for step in page.steps:
        known = script.procedures[step.procedure].steps[step.number - 1].id
        assert [str(v) for v in step.verdicts] == [
            e.verdicts[known] for e in own if e.procedure == step.procedure
        ]


def test_nothing_was_lost_and_the_chain_holds(told: Told) -> None:
    """After all of it the store is sound, holds each check once, and its head fits itself."""
    script = told.script
    records = list(script.store.results.every(script.administrator))
    checks = [record for record in records if record.result.kind == "check"]
    by_id = {entry.result: entry for entry in script.ledger if not entry.past}
    assert {record.result.id for record in checks} == by_id.keys()
    for record in checks:
        entry = by_id[record.result.id]
        assert record.verdicts == entry.verdicts
        assert (record.passed, record.signature is not None) == (entry.passed, entry.signed)
    head = script.store.head()
    verified = script.store.verify([head])
    assert verified.fault is None
    wrong = Head(head.station, head.number, "00" * 32)
    assert script.store.verify([wrong]).fault is not None


def test_the_one_who_left_keeps_a_record_and_cannot_act(told: Told) -> None:
    """After the last day nothing is due of a leaver; the record of that day is still there."""
    script = told.script
    person = script.people["T40"].id
    assert len(training_record(told.source, person, LEFT).elements) == 5
    assert training_record(told.source, person, date(2026, 11, 1)).elements == ()
    numbers = {
        each.staff_number for each in script.store.people.all(script.administrator, left=True)
    }
    assert "T40" in numbers
