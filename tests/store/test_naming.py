"""Free text that stays on record for good, and the names it must not hold."""

from __future__ import annotations

import pytest

from rehearse.store import Person, Role
from rehearse.store.naming import named_in


def person(name: str, number: str = "T17", *, erased: bool = False) -> Person:
    """A trainee of this name."""
    return Person("east-1", number, name, frozenset({Role.TRAINEE}), (), (), None, erased)


@pytest.mark.parametrize(
    ("text", "name", "found"),
    [
        ("Ines said it before the gong", "Ines Okafor", "Ines"),
        ("okafor, ines: INES OKAFOR", "Ines Okafor", "INES OKAFOR"),
        ("OKAFOR said it", "Ines Okafor", "OKAFOR"),
        ("t17 said it", "Ines Okafor", "t17"),
        ("seat T170, and fines", "Ines Okafor", ""),
        ("a mark on the tape", "Mark Ash", ""),
        ("Mark was heard", "Mark Ash", "Mark"),
        ("said by O\u2019Hallan", "Una O\u2019Hallan", "O\u2019Hallan"),
        ("nach der Durchsage von vorn", "Ulla von Asp", ""),
        ("\u738b\u8cbe\u7684\u53e3\u4ee4", "\u738b\u8cbe", "\u738b\u8cbe"),
        ("Jo was heard, at 0:12", "Jo Li", ""),
        ("heard it click", "Ines Okafor", ""),
    ],
)
def test_who_is_named_is_found_and_nobody_else(text: str, name: str, found: str) -> None:
    """A name would outlast its erasure, or a plain word be taken for one."""
    assert named_in(text, person(name)) == found


def test_a_short_number_and_an_erased_person_are_no_name() -> None:
    """Seconds would be taken for a staff number; nothing is known of whoever was erased."""
    assert named_in("at 12 s", person("Ines Okafor", "12")) == ""
    assert named_in("as 40012 said", person("Ines Okafor", "40012")) == "40012"
    assert named_in("anything", person("", "", erased=True)) == ""
