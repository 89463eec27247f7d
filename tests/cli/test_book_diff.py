"""Whose results a new revision makes stale, told from the records."""

from __future__ import annotations

import json
from pathlib import Path

from rehearse.book.reader import read
from rehearse.book.seal import checksum
from tests.authoring.conftest import SHIPPED
from tests.cli.conftest import Desk

ARM = SHIPPED / "arm-door-2l.yaml"


def revised(folder: Path) -> Path:
    """Arming in revision 4, in force long ago, so that no date decides."""
    text = ARM.read_text("utf-8").replace("number: 3", "number: 4")
    path = folder / "revised.yaml"
    path.write_text(text.replace("towards the hinge", "to the frame", 1), "utf-8")
    return path


def test_whose_results_become_stale(desk: Desk) -> None:
    """A person who passed the old revision is named with the element; nothing is changed."""
    record = desk.check()
    desk.good("I1", "records", "sign", record)
    new = revised(desk.folder)
    told = desk.good("I1", "book", "diff", ARM, new, "--records", desk.records)
    stale = [line for line in told if line.startswith("stale: ")]
    assert len(stale) == 1
    assert "stale: T1 Name of T1, door-drills" in stale[0]
    assert "revised: arm-door-2l" in stale[0]
    assert told[-1].startswith("1 result becomes stale on ")
    again = desk.good("I1", "book", "diff", new, new, "--records", desk.records)
    assert again[-1].startswith("0 results become stale")


def test_a_record_names_exactly_what_was_asked(desk: Desk) -> None:
    """The checksum that `freeze` seals stands in the record of a check, as text and as JSON."""
    record = desk.check()
    total = checksum(read(ARM))
    assert f"  what was asked: {total}" in desk.good("I1", "records", "show", record)
    (shown,) = desk.good("I1", "records", "show", record, "--json")
    assert json.loads(shown)["procedure_sha256"] == total


def test_records_are_not_read_for_nobody(desk: Desk) -> None:
    """Without a name nobody's results are shown."""
    line = desk.refused(None, "book", "diff", ARM, revised(desk.folder), "--records", desk.records)
    assert "add --as STAFFNUMBER" in line
