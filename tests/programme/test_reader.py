from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.shelf import all_procedures
from rehearse.errors import Problem
from rehearse.programme import reader
from rehearse.programme.covered import check
from rehearse.programme.currency import STATES
from rehearse.programme.errors import ProgrammeError
from rehearse.programme.model import Element, Programme, Window
from rehearse.programme.reader import locate, read

Write = Callable[..., Path]
SHIPPED = Path(__file__).parents[2] / "programmes" / "fellmark-air.yaml"


def problems(path: Path) -> list[Problem]:
    """The faults of a file that must not be readable."""
    with pytest.raises(ProgrammeError) as caught:
        read(path)
    return caught.value.problems


def outcome(path: Path) -> list[str]:
    """The ids of the elements, or every fault; anything else that is raised fails the test."""
    try:
        return [element.id for element in read(path).elements]
    except ProgrammeError as error:
        return [str(problem) for problem in error.problems]


def test_reads_every_value(write: Write, good: str) -> None:
    """A valid file becomes a programme with all that the file says, years as months."""
    programme = read(write(good))
    assert programme == Programme(
        id="cabin",
        operator="Fellmark Air",
        zone="Europe/Helsinki",
        example=False,
        elements=(
            Element(
                id="doors",
                title="Doors",
                aircraft=("tarn-240",),
                positions=("C1", "C4"),
                procedures=("arm-door-2l", "disarm-door-2l"),
                period=12,
                window=Window(3, "months"),
                method="both",
                rule="TM 1",
                retention=36,
            ),
            Element(
                id="commands",
                title="Evacuation commands",
                aircraft=(),
                positions=(),
                procedures=(),
                period=6,
                window=Window(30, "days"),
                method="oral",
                rule="TM 2",
                retention=40,
            ),
        ),
    )


@pytest.mark.parametrize("line", ["    window: none\n", ""])
def test_an_element_may_have_no_window(write: Write, good: str, line: str) -> None:
    """Left out or `none`: no day lies in the window."""
    text = good.replace("    window: 30 days\n", line)
    assert read(write(text)).element("commands").window == Window(0, "months")


# What is changed in the good file, and the line, column, field and part of fault and mend told.
FAULTS = {
    "unknown key": ("    rule: \"TM 1\"", "    rul: \"TM 1\"", 13, 5, "elements[doors].rul",
                    "unknown; write 'rule'"),
    "doubled key": ("    method: both", "    method: both\n    method: oral", 13, 5,
                    "elements[doors].method", "a second time, first in line 12; keep one"),
    "missing key": ("    period: 12 months\n", "", 5, 5, "elements[doors].period",
                    "missing; add a line 'period: ...'"),
    "unknown top key": ("operator: Fellmark Air", "operator: Fellmark Air\nfleet: 3", 3, 1,
                        "fleet", "unknown; take it out"),
    "alias": ("[C1, C4]", "*crew", 8, 16, "file", "'*crew' is not allowed; write the text out"),
    "anchor": ("[C1, C4]", "&crew [C1, C4]", 8, 16, "file", "'&crew' is not allowed"),
    "tag": ("title: Doors", "title: !!str Doors", 6, 12, "file", "'!!str' is not allowed"),
    "doubled id": ("id: commands", "id: Doors", 15, 9, "elements[Doors].id",
                   "is taken by the element in line 5; give this element an id of its own"),
    "bad id": ("id: commands", "id: the commands", 15, 9, "elements[2].id", "as 'the-commands'"),
    "bare number": ("12 months", "12", 10, 13, "elements[doors].period",
                    "'12' has no unit; write a number of months, as '12 months'"),
    "wrong unit": ("12 months", "12 moons", 10, 13, "elements[doors].period",
                   "not a length of time"),
    "period in days": ("12 months", "365 days", 10, 13, "elements[doors].period",
                       "do not count to a month's end"),
    "no period": ("12 months", "0 months", 10, 13, "elements[doors].period", "between 1 and 120"),
    "endless period": ("12 months", "11 years", 10, 13, "elements[doors].period",
                       "132 months is not between 1 and 120"),
    "window as long as the period": ("3 months", "12 months", 11, 13, "elements[doors].window",
                                     "not shorter than the period of 12 months"),
    "window of days as long as the period": ("30 days", "168 days", 19, 13,
                                             "elements[commands].window", "not shorter"),
    "window in years": ("3 months", "1 year", 11, 13, "elements[doors].window", "is no window"),
    "unknown method": ("method: both", "method: orally", 12, 13, "elements[doors].method",
                       "write oral (oral or practical or both)"),
    "any in a list": ("[tarn-240]", "[any]", 7, 16, "elements[doors].aircraft[1]",
                      "write 'aircraft: any'"),
    "aircraft without brackets": ("[tarn-240]", "tarn-240", 7, 15, "elements[doors].aircraft",
                                  "put it in brackets: [tarn-240], or any"),
    "no aircraft": ("[tarn-240]", "[]", 7, 15, "elements[doors].aircraft", "the list is empty"),
    "doubled position": ("[C1, C4]", "[C1, C1]", 8, 21, "elements[doors].positions[2]",
                         "a second time; take it out"),
    "bad position": ("[C1, C4]", "[c1]", 8, 17, "elements[doors].positions[1]", "as C1"),
    "unknown zone": ("Europe/Helsinki", "Europe/Helsinky", 3, 7, "zone",
                     "write 'Europe/Helsinki'"),
    "folder of zones": ("Europe/Helsinki", "Europe", 3, 7, "zone", "not known"),
    "zone outside": ("Europe/Helsinki", "../../etc/passwd", 3, 7, "zone", "not known"),
    "no elements": (None, "programme: a\noperator: b\nzone: UTC\nelements: []\n", 4, 11,
                    "elements", "there are no elements; list at least one"),
    "a list": (None, "- a\n", 1, 1, "file", "beginning with 'programme: '"),
    "empty": (None, "", 1, 1, "file",
              "begin it with 'programme: ' and an id, then operator, zone and elements"),
    "two documents": ("programme: cabin", "a: 1\n---\nb: 2", 2, 1, "file",
                      "keep one programme a file"),
    "no UTF-8": (None, b"programme: \xff", 1, 12, "file", "encoding UTF-8"),
    "invisible character": ("title: Doors", "title: Do\u200bors", 6, 14, "file", "U+200B"),
    "too large": (None, b"#" * 1_000_001, 1, 1, "file",
                  "larger than 1 MB; a programme file holds one programme"),
    "too many": (None, "programme: a\noperator: b\nzone: UTC\nelements:\n" + "  - {id: a}\n" * 301,
                 5, 3, "elements", "301 elements, more than 300"),
    "nested": (None, "a: " + "[" * 12 + "]" * 12, 1, 11, "file", "levels of a programme file"),
}  # fmt: skip


@pytest.mark.parametrize("case", FAULTS.values(), ids=FAULTS)
def test_each_fault_has_its_place_and_mend(
    write: Write, good: str, case: tuple[str | None, str | bytes, int, int, str, str]
) -> None:
    """Every fault is told once, where it is, with its field and how to mend it."""
    old, new, line, column, field, part = case
    if old is not None:
        assert isinstance(new, str)
        assert old in good
        new = good.replace(old, new)
    told = problems(write(new))
    first = next(problem for problem in told if problem.field == field)
    assert (first.line, first.column) == (line, column)
    assert part in f"{first.fault}; {first.mend}"
    assert not any("procedure" in problem.mend for problem in told if problem.field == "file")
    assert [problem for problem in told if problem.field == field] == [first]


def test_all_faults_are_told_at_once(write: Write, good: str) -> None:
    """Someone who mends a file need not run the check once for each fault."""
    text = good.replace("12 months", "12").replace("zone: Europe/Helsinki\n", "")
    text = text.replace("method: oral", "method: loud")
    fields = [problem.field for problem in problems(write(text))]
    assert fields == ["zone", "elements[doors].period", "elements[commands].method"]


@pytest.mark.parametrize("kind", ["missing", "folder", "pipe"])
def test_what_is_no_file_is_told(tmp_path: Path, kind: str) -> None:
    """A missing file, a folder and a pipe each give one line, and a pipe never hangs."""
    path = tmp_path / "p.yaml"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    told = problems(path)
    assert len(told) == 1
    assert "procedure" not in str(told[0]).removeprefix(str(path))


@settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_a_damaged_file_is_read_or_told(write: Write, good: str, data: st.DataObject) -> None:
    """Whatever is cut out or put in, reading gives a programme or faults and fails no other way."""
    start = data.draw(st.integers(0, len(good)))
    end = data.draw(st.integers(start, min(len(good), start + 30)))
    parts = [": ", "- ", "\n", "[", "]", "{", '"', "&a", "*a", "!", "#", "\t", "\x00", "null",
             "9" * 400, "0 days", "any", "id: doors", "\ud55c", "---\n"]  # fmt: skip
    middle = "".join(data.draw(st.lists(st.sampled_from(parts), max_size=3)))
    path = write(good[:start] + middle + good[end:])
    told = outcome(path)
    assert told
    for line in told:
        assert "\n" not in line


def test_the_shipped_example_is_marked_and_fits_the_shipped_procedures() -> None:
    """The example says that it is one, and every procedure it names exists and fits its element."""
    located = locate(SHIPPED)
    assert located.programme.example
    assert "(invented)" in located.programme.operator
    assert SHIPPED.read_text().startswith("# EXAMPLE.")
    assert check(located, all_procedures([SHIPPED.parents[1] / "procedures"])) == []


@pytest.mark.parametrize(
    ("old", "new", "part"),
    [
        ("[arm-door-2l, disarm", "[arm-door-2ll, disarm", "write 'arm-door-2l'"),
        ("[tarn-240]", "[tarn-120]", "'arm-door-2l' is a procedure of the tarn-240"),
        ("[C1, C4]", "[C1]", "'arm-door-2l' is for C4"),
    ],
)
def test_procedures_that_do_not_fit_are_told(
    write: Write, good: str, old: str, new: str, part: str
) -> None:
    """A procedure that is missing, or for another aircraft or crew, is told at its place."""
    located = locate(write(good.replace(old, new)))
    told = check(located, all_procedures([SHIPPED.parents[1] / "procedures"]))
    assert (told[0].line, told[0].column) == (9, 18)
    assert part in str(told[0])


def test_the_guide_names_every_key_and_state() -> None:
    """What a programme file may hold, and what a report may say, stands in the guide."""
    guide = (SHIPPED.parent / "README.md").read_text(encoding="utf-8")
    for word in (*reader._TOP, *reader._ELEMENT, *STATES):
        assert f"| `{word}` |" in guide
