"""The result of a drill as text for a terminal: stages, answers, shouts that were not right."""

from __future__ import annotations

import io
from dataclasses import dataclass

from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from rehearse.drill.shown.facts import (
    KINDS,
    Facts,
    about,
    answer_facts,
    faults,
    level,
    outcome,
    stage_facts,
    voice_facts,
)
from rehearse.drill.values import Answered, DrillResult, Kind, Shout, Staged
from rehearse.paper.wording import counted
from rehearse.record.report import WORDS, clean, clock
from rehearse.record.text import MARKS, STYLES
from rehearse.safety import NOTICE


@dataclass(frozen=True)
class DrillText:
    """A result that rich can print; it fits itself to the console's width.

    facts: what else is told of the run, as the day or the take.
    """

    result: DrillResult
    facts: Facts = ()

    def __rich_console__(self, _console: Console, _options: ConsoleOptions) -> RenderResult:
        result = self.result
        yield Text(clean(result.title), style="bold")
        yield _pairs((*about(result), *self.facts))
        for stage in result.stages:
            yield Text()
            yield _stage(result, stage)
        yield from _shouts(result)
        yield Text()
        yield Text("Voice", style="bold")
        yield Padding(_pairs(voice_facts(result)), (0, 0, 0, 2))
        yield Text()
        yield Text(_outcome(result), style="bold")
        yield Text()
        yield Text(NOTICE, style="italic")


def plain(result: DrillResult, facts: Facts = (), width: int = 80) -> str:
    """The result as text without colour, each line at most `width` cells wide."""
    console = Console(
        file=io.StringIO(), width=width, color_system=None, force_terminal=False, highlight=False
    )
    with console.capture() as printed:
        console.print(DrillText(result, facts))
    return "\n".join(line.rstrip() for line in printed.get().splitlines()) + "\n"


def _outcome(result: DrillResult) -> str:
    found = len(faults(result))
    if not found:
        return f"{outcome(result)}."
    return f"{outcome(result)}. {counted(found, 'fault')}, marked with !."


def _pairs(facts: Facts) -> RenderableType:
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for name, value in facts:
        grid.add_row(Text(name), Text(clean(value)))
    return grid


def _stage(result: DrillResult, stage: Staged) -> RenderableType:
    parts: list[RenderableType] = [
        Text(clean(stage.told), style="bold underline"),
        Padding(_pairs(stage_facts(stage)), (0, 0, 0, 2)),
        *(Padding(_fault(fault), (0, 0, 0, 2)) for fault in stage.faults),
    ]
    for answered in stage.answers:
        parts.append(_answer(result, answered))
    return Group(*parts)


def _answer(result: DrillResult, answered: Answered) -> RenderableType:
    verdict = answered.verdict
    head = Text(f"{MARKS[verdict]} {WORDS[verdict]}", style=STYLES[verdict])
    head.append(f"  {clean(answered.say)}", style="bold")
    if not answered.critical:
        head.append("  [not critical]")
    facts = _pairs(answer_facts(answered, result.calm))
    lines = [_fault(fault) for fault in answered.faults]
    return Group(
        Padding(head, (0, 0, 0, 2)),
        Padding(facts, (0, 0, 0, 4)),
        *(Padding(line, (0, 0, 0, 4)) for line in lines),
    )


def _fault(fault: str) -> Text:
    return Text(f"! {clean(fault)}", style="bold red")


def _shouts(result: DrillResult) -> RenderResult:
    """What was said that was not a right answer, in order."""
    others = [shout for shout in result.shouts if shout.kind is not Kind.ANSWER]
    if not others:
        return
    yield Text()
    yield Text("Also said", style="bold")
    grid = Table.grid(padding=(0, 2, 0, 0), expand=True)
    grid.add_column(width=7, justify="right", no_wrap=True)
    grid.add_column(overflow="fold", ratio=1)
    for shout in others:
        grid.add_row(Text(clock(shout.start)), _shout(result, shout))
    yield grid


def _shout(result: DrillResult, shout: Shout) -> Text:
    text = Text(f"“{clean(shout.text)}”  {KINDS[shout.kind]}")
    if shout.why:
        text.append(f"\n{clean(shout.why)}", style="italic")
    if shout.level.value is not None:
        text.append(f"\n{level(shout.level, result.calm)}")
    return text
