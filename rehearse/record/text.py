"""The report as text for a terminal: a table of the steps, then what else there is to know."""

from __future__ import annotations

import io
from dataclasses import dataclass

from rich import box
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from rehearse.judge.verdict import Extra, Verdict
from rehearse.record.report import (
    WORDS,
    Line,
    Report,
    about,
    clean,
    clock,
    outcome,
    reasons,
    tally,
    timing_facts,
)
from rehearse.safety import NOTICE

# Plain ASCII, so that every terminal and font shows them, and no two alike in shape.
MARKS = {
    Verdict.SAID: "+",
    Verdict.INCOMPLETE: "~",
    Verdict.WRONG: "x",
    Verdict.OUT_OF_ORDER: "^",
    Verdict.NOT_SAID: "-",
    Verdict.UNCLEAR: "?",
}
_DANGER_MARK = "!"

# Colour only repeats what mark and word say, and leaves the background to the reader.
STYLES = {
    Verdict.SAID: "",
    Verdict.INCOMPLETE: "bold magenta",
    Verdict.WRONG: "bold red",
    Verdict.OUT_OF_ORDER: "bold magenta",
    Verdict.NOT_SAID: "bold red",
    Verdict.UNCLEAR: "bold cyan",
}

_NARROW = 64  # columns; below it a table would break words


@dataclass(frozen=True)
class TextReport:
    """A report that rich can print; it fits itself to the console's width."""

    report: Report

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        report = self.report
        yield _heading(report)
        steps = _stacked if options.max_width < _NARROW else _table
        yield steps(report)
        yield Text()
        yield from _extras(report)
        yield _outcome(report)
        yield Text()
        yield _pairs("Timing", timing_facts(report.timing))
        yield Text()
        yield Text(NOTICE, style="italic")


def renderable(report: Report) -> RenderableType:
    """The report for `rich.console.Console.print`."""
    return TextReport(report)


def plain(report: Report, width: int = 80) -> str:
    """The report as text without colour, each line at most `width` cells wide."""
    console = Console(
        file=io.StringIO(), width=width, color_system=None, force_terminal=False, highlight=False
    )
    with console.capture() as printed:
        console.print(renderable(report))
    return "\n".join(line.rstrip() for line in printed.get().splitlines()) + "\n"


def _heading(report: Report) -> RenderableType:
    return Group(
        Text(clean(report.procedure.title), style="bold"), _pairs("", about(report)[1:]), Text()
    )


def _pairs(title: str, facts: tuple[tuple[str, str], ...]) -> RenderableType:
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for name, value in facts:
        grid.add_row(Text(name), Text(clean(value)))
    return Group(Text(title, style="bold"), Padding(grid, (0, 0, 0, 2))) if title else grid


def _table(report: Report) -> RenderableType:
    table = Table(
        box=box.HORIZONTALS, show_lines=True, expand=True, show_edge=False, padding=(0, 1, 0, 0)
    )
    table.add_column("Verdict", width=14, no_wrap=True)
    table.add_column("No.", width=3, justify="right", no_wrap=True)
    table.add_column("Step", ratio=4, overflow="fold")
    table.add_column("Heard", ratio=5, overflow="fold")
    for line in report.lines:
        table.add_row(_verdict(line), Text(f"{line.number}."), _step(line), _heard(line))
    return table


def _stacked(report: Report) -> RenderableType:
    blocks: list[RenderableType] = []
    for line in report.lines:
        blocks += [
            Text.assemble(f"{line.number}. ", _verdict(line)),
            Padding(_step(line), (0, 0, 0, 2)),
            Padding(_heard(line), (0, 0, 1, 2)),
        ]
    return Group(*blocks)


def _verdict(line: Line) -> Text:
    verdict = line.result.verdict
    return Text(f"{MARKS[verdict]} {WORDS[verdict]}", style=STYLES[verdict])


def _step(line: Line) -> Text:
    text = Text(clean(line.step.say))
    kinds = [
        name
        for name, holds in (("critical", line.step.critical), ("command", line.step.command))
        if holds
    ]
    if kinds:
        text.append(f"\n[{', '.join(kinds)}]", style="bold")
    return text


def _heard(line: Line) -> Text:
    result = line.result
    text = Text()
    if result.heard:
        text.append(_quoted(result.heard, result.start))
    if not line.said:
        text.append("\n" if text else "")
        text.append(clean(result.why), style="italic")
    elif result.corrected:
        text.append("\nCorrected: an earlier attempt was not right.", style="italic")
    return text


def _quoted(heard: str, start: float | None) -> str:
    when = "" if start is None else f"{clock(start)} "
    return f"{when}\u201c{clean(heard)}\u201d"


def _extras(report: Report) -> RenderResult:
    if not report.extras:
        return
    yield Text("Said beyond the steps", style="bold")
    grid = Table.grid(padding=(0, 2, 0, 0), expand=True)
    grid.add_column(width=14, no_wrap=True)
    grid.add_column(overflow="fold", ratio=1)
    for extra in report.extras:
        grid.add_row(*_extra(extra))
    yield grid
    yield Text()


def _extra(extra: Extra) -> tuple[Text, Text]:
    words = Text(_quoted(extra.heard, extra.start))
    words.append(f"\n{clean(extra.why)}", style="italic")
    if extra.dangerous:
        return Text(f"{_DANGER_MARK} dangerous", style="bold reverse"), words
    return Text("  extra"), words


def _outcome(report: Report) -> RenderableType:
    verdict = Text(f"{outcome(report)}: {tally(report)}.", style="bold")
    why = [Padding(Text(reason), (0, 0, 0, 2)) for reason in reasons(report)]
    return Group(verdict, *why)
