"""Drills are found beside the procedures, and never taken for one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rehearse.book.shelf import SHIPPED, files
from rehearse.drill.files.reader import read_drill
from rehearse.drill.files.schema import drill_schema
from rehearse.drill.files.shelf import drill_files, drill_stock, find_drill, is_drill
from rehearse.errors import ShelfError
from tests.book.test_schema import EditorLoader
from tests.drill.conftest import GOOD

Write = Callable[..., Path]


def test_found_by_name(write: Write, tmp_path: Path) -> None:
    """If this fails, a drill is known by its file's name alone, or for one position alone."""
    path = write(GOOD, "other-name.yaml")
    assert find_drill("small", [tmp_path]).path == path
    assert find_drill("small", [tmp_path], position="c3").position == "C3"
    assert find_drill(path).id == "small"
    with pytest.raises(ShelfError, match="no drill 'smal'; did you mean 'small'"):
        find_drill("smal", [tmp_path])


def test_faults_are_told_and_the_rest_found(write: Write, tmp_path: Path) -> None:
    """If this fails, one bad file hides all drills, or a doubled id goes unseen."""
    write(GOOD)
    write(GOOD, "twice.yaml")
    write(GOOD.replace("stages:", "stage:"), "bad.yaml")
    stock = drill_stock([tmp_path])
    assert [drill.id for drill in stock.drills] == ["small"]
    told = " ".join(map(str, stock.broken))
    assert "is taken by" in told
    assert "bad.yaml" in told


def test_an_earlier_folder_hides_a_later_one(write: Write, tmp_path: Path) -> None:
    """If this fails, an operator cannot put a drill in the place of a shipped one."""
    mine = write(GOOD.replace("drill: small", "drill: slide-fails"))
    found = find_drill("slide-fails", [tmp_path, SHIPPED])
    assert found.path == mine
    assert [d.path for d in drill_stock([tmp_path]).drills] == [mine]


def test_a_drill_is_no_procedure(write: Write, tmp_path: Path) -> None:
    """If this fails, 'book list' and every check of procedures stumbles over drills."""
    path = write(GOOD)
    assert path not in list(files(tmp_path))
    assert list(drill_files(tmp_path)) == [path]
    assert not any("drills" in file.parts for file in files(SHIPPED))
    assert is_drill(path)
    assert not is_drill(SHIPPED / "tarn-240" / "evacuation-commands.yaml")
    loose = tmp_path / "loose.yaml"
    loose.write_text(GOOD, "utf-8")
    assert is_drill(loose)


def test_an_editor_agrees_with_the_reader(write: Write) -> None:
    """If this fails, an editor marks good drills as faulty, or lets unknown keys pass."""
    import yaml

    checker = Draft202012Validator(drill_schema())
    for path in (write(GOOD), *drill_files(SHIPPED)):
        value = yaml.load(path.read_text("utf-8"), EditorLoader)  # noqa: S506 - a safe subclass
        assert list(checker.iter_errors(value)) == [], path
    value["stages"][0]["cue"]["sound"] = "trumpets"
    value["stages"][0]["bell"] = 1
    assert len(list(checker.iter_errors(value))) == 2
    assert read_drill(write(GOOD)).id == "small"
