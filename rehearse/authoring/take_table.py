"""A table's rows made into procedures to be written; what its author marked is kept as marked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from rehearse.authoring import doubts
from rehearse.authoring.columns import BETWEEN, FALSE, TRUE
from rehearse.authoring.doubts import Doubt
from rehearse.authoring.drafted import DraftProcedure, DraftStep
from rehearse.authoring.naming import slug, step_id, unique
from rehearse.authoring.sentences import fits
from rehearse.authoring.table import Row
from rehearse.authoring.taken import Taken, Target
from rehearse.authoring.words import SignWords
from rehearse.book.faults import Faults, Mark, shown
from rehearse.book.fields import is_id, is_position
from rehearse.book.procedure_keys import MAX_STEPS
from rehearse.book.relations import plain
from rehearse.safety import NOTICE


def take_table(rows: Sequence[Row], path: Path, target: Target, words: SignWords) -> Taken:
    """Every run of rows with one `procedure` as a procedure; an empty cell goes on with the last.

    Raises:
        BookError: a cell cannot be used; every such cell is told.
    """
    faults = Faults(path)
    filled = list(_filled(rows, faults))
    if not filled and not faults:
        faults.add(Mark(1, 1), "table", "it has no rows", "write one row a step")
    made: list[DraftProcedure] = []
    found: list[Doubt] = []
    ids: set[str] = set()
    for name, group in groupby(filled, key=lambda row: row.cells["procedure"]):
        taking = _Taking(name, list(group), target, words, faults)
        if taking.id in ids:
            mark = Mark(taking.rows[0].line, 1)
            fault = f"the procedure {shown(name)} stands in two places"
            faults.add(mark, "procedure", fault, "put its rows together")
        ids.add(taking.id)
        made.append(taking.procedure())
        found += taking.doubts
    if faults:
        raise faults.error()
    return Taken(tuple(made), tuple(found), len(filled))


def _filled(rows: Sequence[Row], faults: Faults) -> Iterator[Row]:
    """The rows with an empty `procedure` filled from the row above."""
    last = ""
    for row in rows:
        last = row.cells.get("procedure", "") or last
        if not last:
            mend = "write the procedure's id or title in its first row"
            faults.add(Mark(row.line, 1), "procedure", "the row belongs to no procedure", mend)
            continue
        yield replace(row, cells={**row.cells, "procedure": last})


class _Taking:
    """The rows of one procedure on their way to it."""

    def __init__(
        self, name: str, rows: list[Row], target: Target, words: SignWords, faults: Faults
    ) -> None:
        self.rows = rows
        self.doubts: list[Doubt] = []
        self.id = name if is_id(name) else slug(name)
        self._name = name
        self._target = target
        self._words = words
        self._faults = faults
        self._said: dict[str, int] = {}
        self._ids: set[str] = set()
        if not self.id:
            self._fault(rows[0], "procedure", f"{shown(name)} makes no id", "write an id")

    def _fault(self, row: Row, column: str, fault: str, mend: str) -> None:
        self._faults.add(Mark(row.line, 1), column, fault, mend)

    def procedure(self) -> DraftProcedure:
        """The procedure; faults are told where they were asked for."""
        target, first = self._target, self.rows[0]
        steps = tuple(step for row in self.rows if (step := self._step(row)) is not None)
        if len(steps) > MAX_STEPS:
            self._fault(first, "procedure", f"it has {len(steps)} steps", "split it")
        paragraph = first.cells.get("paragraph", "")
        cited = f"{target.manual or target.file} {paragraph}".strip()
        title = self._one("title") or self._name
        if not fits(title):
            self._fault(first, "title", f"{shown(title)} cannot be said", "write a short title")
        critical = any(step.critical for step in steps)
        return DraftProcedure(
            id=self.id,
            title=title,
            aircraft=target.aircraft,
            positions=self._positions(first),
            language=target.language,
            number=target.number,
            effective=target.effective,
            source=cited if paragraph else f"{cited}, line {first.line}",
            steps=steps,
            passing="{critical: all}" if critical else "{critical: none}",
            remarks=(NOTICE, f"Taken over from {target.file}, line {first.line}."),
        )

    def _one(self, column: str) -> str:
        """The value of a column that belongs to the procedure; two different ones are told."""
        given = {row.cells.get(column, ""): row for row in reversed(self.rows)}
        given.pop("", None)
        if len(given) > 1:
            row = next(iter(given.values()))
            fault = f"the rows of {shown(self._name)} differ: {', '.join(map(shown, given))}"
            self._fault(row, column, fault, "write it once, in the first row")
        return next(reversed(given), "")

    def _positions(self, first: Row) -> tuple[str, ...]:
        cell = self._one("positions")
        named = tuple(dict.fromkeys(cell.replace(",", " ").replace(BETWEEN, " ").split()))
        for position in named:
            if not is_position(position):
                fault = f"{shown(position)} is not a crew position"
                self._fault(first, "positions", fault, "write capital letters and a number, as C4")
        return named or self._target.positions

    def _step(self, row: Row) -> DraftStep | None:
        say = row.cells.get("say", "")
        if not self._sayable(row, "say", say):
            return None
        if plain(say) in self._said:
            fault = f"{shown(say)} is said in line {self._said[plain(say)]} already"
            self._fault(row, "say", fault, "say what is different, as 'again'")
        self._said[plain(say)] = row.line
        name = row.cells.get("step", "")
        if name and (not is_id(name) or name in self._ids):
            fault = f"{shown(name)} is {'no id' if not is_id(name) else 'taken already'}"
            self._fault(row, "step", fault, "write letters, digits and hyphens, each id once")
            name = ""
        made = step_id(say, self._words.passed_over, len(self._ids) + 1)
        name = name or unique(made, self._ids)
        self._ids.add(name)
        critical, command = self._truth(row, "critical"), self._truth(row, "command")
        reason = row.cells.get("reason", "")
        if reason:
            self._sayable(row, "reason", reason)
        self._decide(row, name, say, critical=critical, command=command)
        paragraph = row.cells.get("paragraph", "")
        cited = f"{paragraph}, line {row.line}" if paragraph else f"line {row.line}"
        return DraftStep(
            say, name, critical, command, self._several(row, "also"), self._several(row, "never"),
            reason, (cited,),
        )  # fmt: skip

    def _sayable(self, row: Row, column: str, text: str) -> bool:
        if fits(text):
            return True
        fault = f"{shown(text)} cannot be said as one sentence" if text else "the cell is empty"
        mend = "write words, at most 60" if text else "write the sentence of the step"
        self._fault(row, column, fault, mend)
        return False

    def _truth(self, row: Row, column: str) -> bool:
        cell = row.cells.get(column, "").lower()
        if cell not in TRUE | FALSE:
            self._fault(row, column, f"{shown(cell)} is neither yes nor no", "write yes or no")
        return cell in TRUE

    def _several(self, row: Row, column: str) -> tuple[str, ...]:
        cell = row.cells.get(column, "")
        texts = tuple(text for part in cell.split(BETWEEN) if (text := part.strip()))
        return tuple(text for text in texts if self._sayable(row, column, text))

    def _decide(self, row: Row, step: str, say: str, *, critical: bool, command: bool) -> None:
        settled = {"critical"} if critical else set()
        found = () if command else doubts.of_sentence(say, row.line, self.id, step, self._words)
        self.doubts += [each for each in found if each.kind not in settled]
        if not command and (doubts.capitals(say) or doubts.quoted(say)[1]):
            fault = f"{shown(say)} is in capitals or quotation marks"
            mend = "if it is shouted, write yes under 'command'"
            self.doubts.append(Doubt("command", row.line, self.id, step, fault, mend))
        if "paragraph" in row.figures:
            fault = f"the paragraph is a number cell ({row.cells['paragraph']})"
            mend = "format the column as text: 4.10 would become 4.1"
            self.doubts.append(Doubt("cells", row.line, self.id, step, fault, mend))
