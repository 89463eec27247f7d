"""The reader of CTranslate2 model files."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest

from rehearse.errors import ModelError
from rehearse.weights.ctranslate_file import variables

_TYPES = {"float32": 0, "int8": 1, "int16": 2, "int32": 3, "float16": 4}


def _text(text: str) -> bytes:
    return struct.pack("<H", len(text) + 1) + text.encode() + b"\0"


def _variable(name: str, array: np.ndarray) -> bytes:
    shape = struct.pack(f"<B{array.ndim}I", array.ndim, *array.shape)
    content = array.tobytes()
    return (
        _text(name) + shape + struct.pack("<BI", _TYPES[array.dtype.name], len(content)) + content
    )


def _file(path: Path, version: int = 6) -> Path:
    parts = [
        struct.pack("<I", version), _text("WhisperSpec"), struct.pack("<II", 3, 4),
        _variable("layer/weight", np.array([[10, -20], [30, 40]], np.int8)),
        _variable("layer/weight_scale", np.array([10, 20], np.float32)),
        _variable("layer/bias", np.array([0.5, -0.5], np.float16)),
        _variable("heads", np.array(8, np.int16)),
        struct.pack("<I", 1), _text("again/bias"), _text("layer/bias"),
    ]  # fmt: skip
    path.write_bytes(b"".join(parts))
    return path


def test_arrays_settings_and_other_names_are_read(tmp_path: Path) -> None:
    """Weights are whole numbers over the scale of their row; a second name is the same array."""
    model = variables(_file(tmp_path / "model.bin"))
    rows = np.array([1, 0])
    assert model.weight("layer", rows).tolist() == [[1.5, 2.0], [1.0, -2.0]]
    assert model.plain("again/bias").tolist() == [0.5, -0.5]
    assert model.number("heads") == 8
    numbers, scale = model.counted("layer", slice(1))
    assert numbers.tolist() == [[10, -20]]
    assert scale.tolist() == [10.0]


@pytest.mark.parametrize("kept", [0, 3, 20, 60, 120])
def test_a_file_cut_short_is_refused(tmp_path: Path, kept: int) -> None:
    """One line names the file and the mend, wherever it breaks off."""
    path = _file(tmp_path / "model.bin")
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(ModelError, match=r"model\.bin: not a CTranslate2 model.*copy it"):
        variables(path)


def test_another_version_is_refused(tmp_path: Path) -> None:
    """A later format might mean something else by the same bytes."""
    with pytest.raises(ModelError, match="version 7"):
        variables(_file(tmp_path / "model.bin", version=7))


def test_no_file_is_told(tmp_path: Path) -> None:
    """A missing file is an error of the model, not of the program."""
    with pytest.raises(ModelError, match="No such file"):
        variables(tmp_path / "model.bin")
