from __future__ import annotations

import os
from pathlib import Path

import pytest

from rehearse.book import shelf
from rehearse.errors import BookError, ShelfError


@pytest.fixture
def folder(tmp_path: Path, good: str) -> Path:
    """A folder with two good procedures, one of them in a folder inside, and a broken file."""
    inside = tmp_path / "own"
    (inside / "doors").mkdir(parents=True)
    (inside / "arm.yaml").write_text(good)
    (inside / "doors" / "disarm.yml").write_text(good.replace("arm-door-2l", "disarm-door-2l"))
    (inside / "broken.yaml").write_text(good.replace("title:", "tittle:"))
    (inside / "notes.txt").write_text("no procedure")
    (inside / ".hidden.yaml").write_text("no procedure either")
    return inside


def test_finds_every_good_procedure_and_tells_the_rest(folder: Path) -> None:
    """A broken file is reported and hides none of the others."""
    stock = shelf.stock([folder])
    assert [procedure.id for procedure in stock.procedures] == ["arm-door-2l", "disarm-door-2l"]
    (error,) = stock.broken
    assert [problem.path.name for problem in error.problems] == ["broken.yaml"]
    assert shelf.all_procedures([folder]) == list(stock.procedures)


def test_finds_by_id(folder: Path) -> None:
    """The id in the file counts, not the file's name."""
    found = shelf.find("disarm-door-2l", [folder])
    assert found.path == folder / "doors" / "disarm.yml"


def test_finds_by_path(folder: Path) -> None:
    """A path is read as it is, whatever the folders hold."""
    assert shelf.find(folder / "arm.yaml", []).id == "arm-door-2l"
    assert shelf.find(str(folder / "arm.yaml"), []).id == "arm-door-2l"


def test_suggests_the_nearest_id(folder: Path) -> None:
    """An unknown id is answered in one line, with the one that was probably meant."""
    with pytest.raises(ShelfError) as caught:
        shelf.find("Arm-dor-2L", [folder])
    assert str(caught.value) == ("there is no procedure 'Arm-dor-2L'; did you mean 'arm-door-2l'?")


def test_says_where_to_look_when_nothing_is_near(folder: Path) -> None:
    """An id like no other is answered with how to list them."""
    with pytest.raises(ShelfError, match="book list"):
        shelf.find("zzz", [folder])
    with pytest.raises(ShelfError, match="book list"):
        shelf.find("arm-door-2l", [])


def test_tells_the_faults_of_the_file_that_was_meant(folder: Path) -> None:
    """A name that only a broken file carries is answered with that file's faults."""
    with pytest.raises(BookError, match="tittle"):
        shelf.find("broken", [folder])


def test_a_path_to_nothing_is_told(tmp_path: Path) -> None:
    """A path without a file behind it is answered in one line."""
    with pytest.raises(BookError, match="no such file"):
        shelf.find(tmp_path / "none.yaml", [])


def test_an_earlier_folder_hides_a_later_one(folder: Path, tmp_path: Path, good: str) -> None:
    """An operator's procedure takes the place of a shipped one with the same id."""
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "arm.yaml").write_text(good.replace("title: Arm", "title: Our way to arm"))
    assert shelf.find("arm-door-2l", [mine, folder]).title.startswith("Our way")
    assert shelf.find("arm-door-2l", [folder, mine]).title == "Arm door 2 left"
    assert len(shelf.stock([mine, folder]).broken) == 1


def test_an_id_twice_in_one_folder_is_told(folder: Path, good: str) -> None:
    """Which of two files is meant must not depend on chance."""
    (folder / "copy.yaml").write_text(good)
    told = [
        problem
        for error in shelf.stock([folder]).broken
        for problem in error.problems
        if problem.field == "procedure"
    ]
    (problem,) = told
    assert (problem.path.name, problem.line, problem.column) == ("copy.yaml", 1, 12)
    assert "arm.yaml" in problem.fault
    assert "id of its own" in problem.mend


def test_folders_come_from_the_user_then_the_environment_then_the_project(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The nearer to the person a folder is named, the earlier it is looked in."""
    other = tmp_path / "other"
    other.mkdir()
    monkeypatch.setenv(shelf.VARIABLE, os.pathsep.join([str(other), "", str(folder)]))
    assert shelf.folders([tmp_path]) == (tmp_path, other, folder, shelf.SHIPPED)
    monkeypatch.delenv(shelf.VARIABLE)
    assert shelf.folders() == (shelf.SHIPPED,)


def test_a_folder_that_is_not_there_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that was asked for and does not exist is never passed over in silence."""
    with pytest.raises(ShelfError, match="no such folder; make it"):
        shelf.folders([tmp_path / "none"])
    monkeypatch.setenv(shelf.VARIABLE, str(tmp_path / "none"))
    with pytest.raises(ShelfError, match=f"from {shelf.VARIABLE}"):
        shelf.find("arm-door-2l")


def test_finds_what_is_shipped(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a checkout the shipped procedures are found without being told where."""
    monkeypatch.delenv(shelf.VARIABLE, raising=False)
    assert shelf.find("arm-door-2l").aircraft == "tarn-240"
