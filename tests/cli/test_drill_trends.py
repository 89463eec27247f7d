"""Past drills from the command line: `drill --trends`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from rehearse.cli import main
from rehearse.drill.files.reader import read_drill
from rehearse.safety import NOTICE
from tests.session.test_drill_past import DRILLS, kept


@pytest.fixture
def takes(tmp_path: Path) -> Path:
    """Two runs of one person and one of another."""
    drill = read_drill(DRILLS / "signalled-evacuation.yaml", "C4")
    folder = tmp_path / "takes"
    for day, person in ((0, "T-4"), (1, "T-4"), (2, "T-5")):
        kept(folder, drill, day, person)
    return folder


def test_past_drills_as_text_and_as_a_picture(
    takes: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every run of the person, the notice, and the picture where it was asked for."""
    drawn = tmp_path / "drawn"
    options = ["--trends", "--person", "T-4", "--takes", str(takes), "--pictures", str(drawn)]
    assert main(["drill", *options]) == 0
    out = capsys.readouterr().out
    assert out.count("not passed") == 2
    assert NOTICE in " ".join(out.split())
    assert (drawn / "drills.svg").read_text("utf-8").startswith("<svg")
    assert (drawn / "drills.png").read_bytes().startswith(b"\x89PNG")


def test_past_drills_as_json(takes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One object a drill, its runs in order; another drill's name gives none."""
    options = ["--trends", "--person", "T-4", "--takes", str(takes), "--json"]
    assert main(["drill", *options]) == 0
    (row,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert row["drill"] == "signalled-evacuation"
    assert [run["passed"] for run in row["runs"]] == [False, False]
    assert row["trends"]["reaction"] == "unknown"
    assert main(["drill", "slide-fails", *options]) == 0
    assert capsys.readouterr().out == ""


def test_a_run_that_cannot_be_read_is_told(takes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line for it, the others are shown, and the exit status says so."""
    spoilt = sorted(takes.iterdir())[0]
    (spoilt / "drill.jsonl").write_text("{}\n", encoding="utf-8")
    assert main(["drill", "--trends", "--person", "T-4", "--takes", str(takes)]) == 2
    out, err = capsys.readouterr()
    assert out.count("not passed") == 1
    assert err.count("\n") == 1
    assert spoilt.name in err


def test_a_misspelt_drill_is_named(takes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The nearest name that exists, instead of an empty page."""
    assert main(["drill", "slide-fail", "--trends", "--takes", str(takes)]) == 2
    assert "did you mean 'slide-fails'?" in capsys.readouterr().err
