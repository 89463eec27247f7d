from __future__ import annotations

import io
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console

from rehearse.events import Overflow
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.record.report import Report
from rehearse.record.text import plain, renderable
from rehearse.safety import NOTICE


def flat(text: str) -> str:
    """The text with its line breaks and columns of blanks taken out."""
    return " ".join(text.split())


@pytest.mark.parametrize("width", [40, 64, 80, 132])
def test_fits_the_width(report: Report, width: int) -> None:
    """No line is wider than asked for, and nothing is cut off."""
    text = plain(report, width)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    assert "\u2026" not in text
    for verdict in ("said", "incomplete", "wrong", "not said", "unclear", "dangerous"):
        assert verdict in text
    assert NOTICE in flat(text)


def test_reads_from_top_to_bottom(report: Report) -> None:
    """Steps come first, then extras with the dangerous ones leading, the outcome, times, notice."""
    text = plain(report, 80)
    order = [
        text.index(part)
        for part in (
            "Arm door 2 left",
            "Verdict",
            "1.  Open the flap",
            "5.  Door two left",
            "Said beyond the steps",
            "! dangerous",
            "  extra ",
            "Not passed: 1 said",
            "Critical step 2 is wrong.",
            "Timing",
            "First word",
            "Training aid only.",
        )
    ]
    assert order == sorted(order)


def test_one_row_tells_the_whole_step(report: Report) -> None:
    """A row has verdict, wording, what was heard and when, and why when it was not said."""
    text = plain(report, 80)
    row = flat(text[text.index("x wrong") : text.index("~ incomplete")])
    assert "2. Turn the mode drum" in row
    assert "0:06.0" in row
    assert "disarmed\u201d" in row
    assert "You said disarmed" in row
    assert "[critical]" in row


def test_said_needs_no_reason(report: Report) -> None:
    """The reason for a step that was said is left out, unless an earlier attempt was not right."""
    assert "Said." not in plain(report, 80)
    first = replace(report.result.steps[0], corrected=True)
    corrected = replace(
        report, result=replace(report.result, steps=(first, *report.result.steps[1:]))
    )
    assert "Corrected: an earlier" in plain(corrected, 80)


def test_marks_tell_verdicts_apart(report: Report) -> None:
    """Without any colour, each verdict has a word and a mark that no other has."""
    first = report.result.steps[0]
    seen = set()
    for verdict in Verdict:
        steps = (replace(first, verdict=verdict), *report.result.steps[1:])
        text = plain(replace(report, result=replace(report.result, steps=steps)), 80)
        line = next(line for line in text.splitlines() if "1.  Open the flap" in line)
        mark, word = line.split("1. ")[0].split(maxsplit=1)
        assert word.strip() == verdict.value.replace("_", " ")
        seen.add(mark)
    assert len(seen) == len(Verdict)
    assert "!" not in seen


def test_no_colour_when_piped(report: Report) -> None:
    """Piped to a file there is no escape sequence; in a terminal there is, with the same words."""
    piped = io.StringIO()
    Console(file=piped, width=80).print(renderable(report))
    assert "\x1b" not in piped.getvalue()
    shown = io.StringIO()
    terminal = Console(file=shown, width=80, force_terminal=True, color_system="standard")
    terminal.print(renderable(report))
    assert "\x1b[" in shown.getvalue()
    assert flat(piped.getvalue()) == flat(plain(report, 80))


def test_wide_characters_line_up(report: Report) -> None:
    """Chinese, Japanese and Korean wordings take two cells a character and still line up."""
    steps = list(report.procedure.steps)
    steps[0] = replace(steps[0], say="操作手册第二步将模式转筒向铰链方向转四分之一圈至待命位置")
    wide = replace(report, procedure=replace(report.procedure, steps=tuple(steps)))
    text = plain(wide, 80)
    assert max(cell_len(line) for line in text.splitlines()) <= 80
    lines = text.splitlines()
    at = next(n for n, line in enumerate(lines) if "操作" in line)
    heard = lines[at].index("0:02.4")
    header = next(line for line in lines if line.lstrip().startswith("Verdict"))
    assert cell_len(lines[at][:heard]) == header.index("Heard")


def test_void_times_say_so(report: Report) -> None:
    """A time that lost samples made unknown reads as void, with the place of the loss."""
    text = plain(replace(report, events=(*report.events, Overflow(7.0, 0.25))), 80)
    assert "From first to last  void" in text
    assert "0.25 s at 0:07.0; times across it are void" in text


def test_nothing_said(report: Report) -> None:
    """A take in which nothing was said still has its table and its notice."""
    steps = tuple(
        StepResult(step.id, Verdict.NOT_SAID, 0.0, "", None, None, "You did not say it.")
        for step in report.procedure.steps
    )
    result = Result("arm-door-2l", 3, passed=False, steps=steps, extras=())
    text = plain(Report("quiet.wav", report.procedure, result, ()), 80)
    assert "Not passed: 5 not said." in text
    assert "nothing was said" in text
    assert "beyond" not in text


@given(text=st.text(max_size=120), width=st.integers(40, 100))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_keeps_the_shape(report: Report, text: str, width: int) -> None:
    """Whatever was heard, no line gets too wide and no control character gets through."""
    first = replace(report.result.steps[1], heard=text, why=text)
    steps = (report.result.steps[0], first, *report.result.steps[2:])
    shown = plain(replace(report, result=replace(report.result, steps=steps)), width)
    assert all(cell_len(line) <= width for line in shown.splitlines())
    assert not any(ord(c) < 32 and c != "\n" for c in shown)
