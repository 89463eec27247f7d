"""Outcomes are kept, gone on with, and told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from rehearse.bench.ghosts import measuring
from rehearse.bench.ghosts.ground import Ground, places
from rehearse.bench.ghosts.kinds import KINDS, expected
from rehearse.bench.ghosts.lines import lines, upper_bound
from rehearse.bench.ghosts.measuring import measured
from rehearse.bench.ghosts.outcome import KeptError, Outcome, Place, add, begun, kept
from rehearse.cli import main


def test_an_outcome_is_kept_whole(tmp_path: Path, quiet: Outcome) -> None:
    """A report from a file would tell something else than the run did."""
    path = tmp_path / "kept.jsonl"
    bad = replace(quiet, number=1, credited=("drum",), heard=("é “x”",), requests=("stop: Stop.",))
    add(path, quiet)
    add(path, bad)
    assert kept([path]) == [quiet, bad]
    assert kept([path, path]) == [quiet, bad]


def test_a_killed_run_goes_on(
    tmp_path: Path, quiet: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An hour would be lost with its last half minute, or a half written line would spoil it."""
    heard: list[Place] = []

    def one(place: Place, _folders: tuple[Path, ...]) -> Outcome:
        heard.append(place)
        return replace(quiet, kind=place.kind, number=place.number, detected=place.detected)

    monkeypatch.setattr(measuring, "_one", one)
    path = tmp_path / "kept.jsonl"
    horn = [KINDS["horn"]]
    list(measured(places(horn, 1.0), (), path))
    with path.open("a") as file:
        file.write('{"kind": "horn", "numb')
    found = list(measured(places(horn, 1.5), (), path))
    assert heard == [Place("horn", 0), Place("horn", 1), Place("horn", 2)]
    assert [outcome.place for outcome in found] == heard
    assert kept([path]) == found
    list(measured(places(horn, 0.5, detected=False), (), path))
    assert heard[-1] == Place("horn", 0, detected=False)


@pytest.mark.parametrize("line", ["{}", "no", "[1]", '{"kind": "horn"}'])
def test_a_file_of_something_else_is_named(tmp_path: Path, line: str) -> None:
    """Outcomes would be added to a file that holds none, and it would be cut short."""
    path = tmp_path / "kept.jsonl"
    path.write_text(line + "\nrest", "utf-8")
    with pytest.raises(KeptError, match=r"kept\.jsonl:1: no outcome"):
        begun(path)
    assert path.read_text("utf-8") == line + "\nrest"
    with pytest.raises(KeptError, match="cannot be used"):
        begun(tmp_path / "none" / "kept.jsonl")


def test_every_procedure_is_expected_in_turn(whole_book: Ground) -> None:
    """Much of the book would never be tried against any sound."""
    procedures = whole_book.procedures
    bound = [kind for kind in KINDS.values() if kind.bound]
    half_hour = {
        expected(KINDS[place.kind], place.number, procedures).id for place in places(bound, 30.0)
    }
    assert len(half_hour) == len({procedure.id for procedure in procedures})


@pytest.mark.parametrize(("events", "bound"), [(0, 2.996), (1, 4.744), (3, 7.754), (10, 16.962)])
def test_the_bound_is_poissons(events: int, bound: float) -> None:
    """The table would promise more, or less, than was measured (Garwood's table, 95 %)."""
    assert upper_bound(events, 1800.0) == pytest.approx(bound, abs=0.002)
    assert upper_bound(events, 3600.0) == pytest.approx(bound / 2, abs=0.001)


def _row(told: Sequence[str], name: str) -> list[str]:
    (line,) = (line for line in told if line.startswith(f"{name} "))
    return line.removeprefix(name).split()


def test_the_table_counts_and_names_what_was_wrong(quiet: Outcome) -> None:
    """A credited step would be lost among the counts, or the tool's own voice counted in."""
    bad = replace(
        quiet, number=1, begun=2, ghosts=1, heard=("armed",), credited=("drum",), critical=("drum",)
    )
    own = replace(quiet, kind="own-open", credited=("flap", "drum"), requests=("stop: Stop.",))
    told = list(lines([quiet, bad, own]))
    assert _row(told, "horn")[:6] == ["1.0", "2", "1", "1", "1", "1"]
    assert _row(told, "all but own-open")[:6] == _row(told, "horn")[:6]
    assert "    1 credited, tarn-240 arm-door-2l: drum" in told
    assert "    0 requests, tarn-240 arm-door-2l: stop: Stop." in told


def test_a_failed_detector_has_a_table_of_its_own(quiet: Outcome) -> None:
    """What was heard with and without detection would be added up."""
    told = list(lines([quiet, replace(quiet, detected=False, ghosts=4)]))
    rows = [line.split() for line in told if line.startswith("horn ")]
    assert [row[1:4] for row in rows] == [["0.5", "0", "0"], ["0.5", "0", "4"]]


def test_the_report_fails_where_something_was_credited(
    tmp_path: Path, quiet: Outcome, capsys: pytest.CaptureFixture[str]
) -> None:
    """A script could not tell that a step was credited to a horn."""
    path = tmp_path / "kept.jsonl"
    add(path, quiet)
    add(path, replace(quiet, kind="own-open", credited=("drum",)))
    assert main(["bench", "ghosts", "--report", str(path)]) == 0
    add(path, replace(quiet, kind="talk", stops=("end the drill",)))
    assert main(["bench", "ghosts", "--report", str(path)]) == 1
    assert "talk 1" not in capsys.readouterr().out
    assert main(["bench", "ghosts", "--report", str(path), "--kinds", "horn"]) == 0


def test_what_is_missing_is_told_before_anything_is_heard(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A mistyped kind, or a folder that was forgotten, would end in a traceback or after hours."""
    assert main(["bench", "ghosts", "--kinds", "horm"]) == 2
    assert "there is no kind 'horm'; choose from silence, cabin" in capsys.readouterr().err
    assert main(["bench", "ghosts", "--kinds", "horn", "talk", "--minutes", "1"]) == 2
    assert "talk: no voice of another person" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["bench", "ghosts", "--minutes", "soon"])
    assert "'soon' is not a number of minutes" in capsys.readouterr().err


def test_the_help_names_every_kind(capsys: pytest.CaptureFixture[str]) -> None:
    """A kind could not be chosen without reading the code."""
    with pytest.raises(SystemExit):
        main(["bench", "ghosts", "--help"])
    told = capsys.readouterr().out
    assert all(name in told for name in KINDS)
