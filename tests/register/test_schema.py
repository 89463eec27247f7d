"""The JSON Schema of registers agrees with their reader."""

from __future__ import annotations

import json

import pytest
import yaml
from jsonschema import Draft202012Validator

from rehearse.book.shelf import SHIPPED
from rehearse.cli import main
from rehearse.register.schema import register_schema
from tests.book.test_schema import EditorLoader

REGISTERS = sorted(SHIPPED.glob("*/aircraft.yaml"))
CHECKER = Draft202012Validator(register_schema())


def test_every_shipped_register_is_valid() -> None:
    """An editor would show faults in the files that are shipped."""
    assert len(REGISTERS) >= 2
    for path in REGISTERS:
        value = yaml.load(path.read_text("utf-8"), EditorLoader)  # noqa: S506 - a safe one
        assert [error.message for error in CHECKER.iter_errors(value)] == [], path


@pytest.mark.parametrize(
    ("here", "instead"),
    [("length: ", "length: 9"), ("side: left", "side: port"), ("\nname: ", "\nnames: ")],
)
def test_what_the_reader_refuses_is_shown(here: str, instead: str) -> None:
    """An editor would show nothing where the reader finds a fault."""
    text = REGISTERS[0].read_text("utf-8")
    assert here in text
    value = yaml.load(text.replace(here, instead, 1), EditorLoader)  # noqa: S506 - a safe one
    assert not CHECKER.is_valid(value)


def test_it_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """The command would print another schema."""
    assert main(["book", "schema", "aircraft"]) == 0
    assert json.loads(capsys.readouterr().out) == register_schema()
