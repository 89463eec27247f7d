"""The sentences of a language: complete, and faults in a new language's file are named."""

from __future__ import annotations

from importlib import resources
from typing import Any

import pytest
import yaml

from rehearse.coach.phrasebook import FAMILIES, parsed, phrasebook
from rehearse.coach.requests import Request
from rehearse.errors import RehearseError


def english() -> dict[str, Any]:
    """The data of the English file."""
    file = resources.files("rehearse.coach").joinpath("phrases/en.yaml")
    data: dict[str, Any] = yaml.safe_load(file.read_text("utf-8"))
    return data


def test_english_is_complete() -> None:
    """The shipped file has every sentence and every family of requests."""
    book = phrasebook("en")
    assert book.text("steps", count=1) == "1 step"
    assert book.text("steps", count=5) == "5 steps"
    assert set(FAMILIES) == {asked.value for asked in Request}


def test_names_a_missing_sentence() -> None:
    """A translator who forgot one is told which."""
    data = english()
    del data["say"]["nudge_next"]
    with pytest.raises(RehearseError, match="'xx': add the sentence 'nudge_next'"):
        parsed("xx", data)


def test_names_an_unknown_sentence() -> None:
    """A misspelt name is not passed over."""
    data = english()
    data["debrief"]["wellcome"] = "Hello."
    with pytest.raises(RehearseError, match="remove the unknown 'wellcome'"):
        parsed("xx", data)


def test_names_a_word_that_cannot_be_filled_in() -> None:
    """A sentence may use only the words the coach knows there."""
    data = english()
    data["say"]["correction"] = "No. {reason}"
    with pytest.raises(RehearseError, match=r"'correction' cannot fill \{reason\}"):
        parsed("xx", data)


@pytest.mark.parametrize(
    ("name", "sentence", "fault"),
    [
        ("correction", "No.", r"must say \{why\}"),
        ("steps", "{count} steps", "needs a text for 'one' and for 'other'"),
        ("steps", {"one": "1 step"}, "needs a text for 'one' and for 'other'"),
        ("nudge_next", {"other": "What is next?"}, "needs one text"),
    ],
)
def test_names_a_sentence_of_the_wrong_shape(name: str, sentence: object, fault: str) -> None:
    """A word that was dropped, or a form that is missing, is named."""
    data = english()
    data["say"][name] = sentence
    with pytest.raises(RehearseError, match=f"'{name}' {fault}"):
        parsed("xx", data)


def test_names_missing_families() -> None:
    """Every request can be asked in every language."""
    data = english()
    del data["requests"]["families"]["stop"]
    with pytest.raises(RehearseError, match="requests must be hint, again"):
        parsed("xx", data)


def test_a_language_without_a_file() -> None:
    """One line says what to write instead."""
    with pytest.raises(RehearseError, match="the coach does not speak 'fi'"):
        phrasebook("fi")
