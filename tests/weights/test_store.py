"""The models folder: found, verified in full, and every fault told in one line with its mend."""

import shutil
from pathlib import Path

import pytest

from rehearse.errors import ModelError
from rehearse.weights.store import known_models, models_folder, verified


def _copy_of(model: str, folder: Path) -> Path:
    """A models folder that holds `model` by links, each of which a test may replace."""
    place = folder / model
    place.mkdir()
    for file in (models_folder() / model).iterdir():
        (place / file.name).symlink_to(file)
    return place


def _replace(path: Path, content: bytes) -> None:
    path.unlink()
    path.write_bytes(content)


def _fault(model: str, folder: Path) -> str:
    with pytest.raises(ModelError) as caught:
        verified(model, folder)
    line = str(caught.value)
    assert "\n" not in line
    return line


@pytest.mark.parametrize("model", known_models())
def test_shipped_models_are_intact(model: str) -> None:
    """Every file of every shipped model has the checksum in the table."""
    assert verified(model) == models_folder() / model


@pytest.mark.parametrize("model", known_models())
def test_every_shipped_file_is_in_the_table(model: str, tmp_path: Path) -> None:
    """A file that lies beside the models but is missing from a copy is noticed, whichever it is."""
    place = _copy_of(model, tmp_path)
    for file in sorted(place.iterdir()):
        target = file.readlink()
        file.unlink()
        assert f"{file}: missing" in _fault(model, tmp_path)
        file.symlink_to(target)


def test_a_missing_model_names_the_file_and_the_mend(tmp_path: Path) -> None:
    """An empty models folder gives the first missing file and where to get the model."""
    line = _fault("step-judge-minilm", tmp_path)
    assert str(tmp_path / "step-judge-minilm") in line
    assert "missing" in line
    assert "REHEARSE_MODELS" in line


def test_one_changed_byte_is_found(tmp_path: Path) -> None:
    """A model file of the right size and time, one byte of it changed, is refused by name."""
    place = _copy_of("step-judge-minilm", tmp_path)
    original = (place / "model.onnx").readlink()
    _replace(place / "model.onnx", b"")
    shutil.copy2(original, place / "model.onnx")
    with (place / "model.onnx").open("r+b") as stream:
        stream.seek(1_000_000)
        byte = stream.read(1)[0]
        stream.seek(1_000_000)
        stream.write(bytes([byte ^ 1]))
    line = _fault("step-judge-minilm", tmp_path)
    assert f"{place / 'model.onnx'}: altered" in line


def test_an_alteration_after_a_good_check_is_found(tmp_path: Path) -> None:
    """Having passed once is no excuse: the next load hashes the files again."""
    place = _copy_of("step-judge-minilm", tmp_path)
    assert verified("step-judge-minilm", tmp_path) == place
    _replace(place / "labels.json", (place / "labels.json").read_bytes() + b"\n")
    assert "labels.json: altered" in _fault("step-judge-minilm", tmp_path)


def test_only_the_model_asked_for_is_checked(tmp_path: Path) -> None:
    """A broken neighbour does not stop a model that is whole."""
    broken = _copy_of("step-judge-mpnet", tmp_path)
    _replace(broken / "model.onnx", b"cut short")
    place = _copy_of("step-judge-minilm", tmp_path)
    assert verified("step-judge-minilm", tmp_path) == place


def test_an_unreadable_file_says_so(tmp_path: Path) -> None:
    """A folder where a file should be cannot be read, and the line says that, not 'altered'."""
    place = _copy_of("step-judge-minilm", tmp_path)
    (place / "model.onnx").unlink()
    (place / "model.onnx").mkdir()
    assert "model.onnx: cannot be read" in _fault("step-judge-minilm", tmp_path)


def test_an_unknown_model_lists_the_known(tmp_path: Path) -> None:
    """A name that is not in the table is answered with the names that are."""
    line = _fault("step-judge-huge", tmp_path)
    assert all(name in line for name in known_models())


def test_the_environment_chooses_the_folder(tmp_path: Path) -> None:
    """REHEARSE_MODELS points elsewhere; empty, or absent, it is the folder beside the package."""
    assert models_folder({"REHEARSE_MODELS": str(tmp_path)}) == tmp_path
    assert models_folder({"REHEARSE_MODELS": " "}) == models_folder({})
    assert (models_folder({}) / "README.md").is_file()
