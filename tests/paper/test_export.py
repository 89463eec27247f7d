from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from importlib import resources

import pytest

from rehearse.paper.columns import TABLES
from rehearse.paper.export import (
    check_record_csv,
    class_sheet_csv,
    practices_csv,
    practised_steps_csv,
    to_json,
    training_record_csv,
)
from rehearse.paper.table import read_csv
from rehearse.paper.values import CheckRecord, ClassSheet, OwnPage, TrainingRecord
from rehearse.safety import NOTICE


def test_a_training_record_has_a_row_for_each_element(training: TrainingRecord) -> None:
    """Standing, result, dates, open retraining and overrules are each in their own column."""
    rows = read_csv(training_record_csv(training))
    assert [row["element"] for row in rows] == [one.id for one in training.elements]
    first, failed, never = rows[0], rows[6], rows[4]
    assert (first["standing"], first["result"], first["checked"]) == (
        "current",
        "passed",
        "2026-10-03",
    )
    assert (failed["standing"], never["standing"]) == ("retraining open", "not yet checked")
    assert (first["overrules"], first["signed_by"]) == ("1", "F0007")
    assert (failed["retraining_open"], failed["valid_until"]) == ("1", "")
    assert (never["result"], never["checked"], never["examiner"]) == ("", "", "")
    assert {row["notice"] for row in rows} == {NOTICE}
    assert {row["chain_head"] for row in rows} == {training.heading.chain_head}


def test_a_class_sheet_has_a_row_for_each_candidate_and_element(sheet: ClassSheet) -> None:
    """Every cell of the sheet is a row; a cell without a check is empty, not a fail."""
    rows = read_csv(class_sheet_csv(sheet))
    told = {(row["staff_number"], row["element"]): row["result"] for row in rows}
    meant = {
        (candidate.person.staff_number, column.id): outcome.value if outcome else ""
        for candidate in sheet.candidates
        for column, outcome in zip(sheet.columns, candidate.outcomes, strict=True)
    }
    assert told == meant
    assert len(rows) == 96
    assert set(meant.values()) == {"passed", "not passed", "unclear", ""}


def test_an_overruled_step_keeps_both_verdicts(check: CheckRecord) -> None:
    """The tool's verdict stays beside the instructor's, with who and why, in CSV and in JSON."""
    row = read_csv(check_record_csv(check))[3]
    assert (row["tool_verdict"], row["verdict"]) == ("unclear", "said")
    assert (row["overruled_by"], row["overrule_reason"]) == (
        "F0007",
        check.steps[3].overrules[0].reason,
    )
    assert (row["start"], row["end"]) == ("14.00", "16.25")
    step = json.loads(to_json(check))["steps"][3]
    assert (step["verdict"], step["counts"]) == ("unclear", "said")
    assert step["overrules"][0]["tool"] == "unclear"


def test_practice_is_exported_in_order(own: OwnPage) -> None:
    """Takes come oldest first across procedures, steps weakest first."""
    takes = read_csv(practices_csv(own))
    assert len(takes) == len(own.practices)
    assert [row["started"] for row in takes] == sorted(row["started"] for row in takes)
    assert sum(row["oral_check"] == "yes" for row in takes) == 2
    strengths = [float(row["strength"]) for row in read_csv(practised_steps_csv(own))]
    assert len(strengths) == len(own.steps)
    assert strengths == sorted(strengths)


def test_json_holds_the_notice_and_local_times(check: CheckRecord) -> None:
    """The notice comes first; a moment in summer carries that zone's summer offset."""
    text = to_json(check).decode()
    assert text.index('"notice"') < text.index('"kind"')
    data = json.loads(text)
    assert data["notice"] == NOTICE
    assert data["started"] == "2026-10-03T14:15:00+01:00"
    assert data["heading"]["made"] == "2026-11-25T09:30:00+00:00"
    assert data["candidate"]["positions"] == ["C4", "C5"]
    assert data["steps"][4]["start"] is None


def test_a_moment_without_a_zone_is_refused(check: CheckRecord) -> None:
    """A naive time would be printed in whatever zone the machine is in; it is refused instead."""
    naive = replace(check, started=datetime(2026, 10, 3, 13, 15))  # noqa: DTZ001
    with pytest.raises(ValueError, match="has no time zone"):
        to_json(naive)
    lost = replace(check, heading=replace(check.heading, zone="Fellmark/Nowhere"))
    with pytest.raises(ValueError, match="'Fellmark/Nowhere' is no time zone"):
        to_json(lost)


@pytest.mark.parametrize("name", ["김민수", "Ann\ud800", "O'\"B", "=1+1", "أحمد\u202e", "a\0b"])
def test_any_name_survives(check: CheckRecord, name: str) -> None:
    """Names in any script, with quotes or half letters, are whole in JSON and do not break CSV."""
    named = replace(check, candidate=replace(check.candidate, name=name))
    assert json.loads(to_json(named))["candidate"]["name"] == name
    written = read_csv(check_record_csv(named))[0]["name"]
    assert written == name.encode("utf-8", "backslashreplace").decode()


@pytest.mark.parametrize("table", TABLES)
def test_every_column_is_documented(table: str) -> None:
    """The folder's README lists each table's columns, in order and with their meaning."""
    readme = resources.files("rehearse.paper").joinpath("README.md").read_text("utf-8")
    section = readme.split(f"### {table}\n", 1)[1].split("\n### ", 1)[0].split("\n## ", 1)[0]
    listed = [line for line in section.splitlines() if line.startswith("| `")]
    assert listed == [f"| `{field.name}` | {field.meaning} |" for field in TABLES[table]]


def test_the_same_values_give_the_same_bytes(own: OwnPage, training: TrainingRecord) -> None:
    """Exports can be compared byte by byte, also when another zone's clock gave the moment."""
    again = replace(
        training,
        heading=replace(training.heading, made=datetime.fromisoformat("2026-11-25T18:30:00+09:00")),
    )
    assert again.heading.made == training.heading.made == datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
    assert to_json(again) == to_json(training)
    assert training_record_csv(again) == training_record_csv(training)
    shuffled = replace(own, practices=own.practices[::-1], steps=own.steps[::-1])
    assert practices_csv(shuffled) == practices_csv(own)
    assert practised_steps_csv(shuffled) == practised_steps_csv(own)
