"""How the result of a drill is shown: as text, as a line of JSON, as pictures in a folder."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from rehearse.cli.common import complain
from rehearse.drill.shown.document import document
from rehearse.drill.shown.facts import Facts
from rehearse.drill.shown.text import DrillText
from rehearse.drill.values import DrillResult
from rehearse.errors import RehearseError
from rehearse.screen import SCREEN


@dataclass(frozen=True)
class Telling:
    """as_json: one object a line in place of text. pictures: a folder for them, None for none."""

    as_json: bool
    pictures: Path | None

    def show(self, source: Path, result: DrillResult, facts: Facts) -> None:
        """The result of one run. Raises RehearseError when its picture cannot be written."""
        if self.pictures is not None:
            from rehearse.session.drill_score import write_pictures

            name = source.name if source.is_dir() else source.stem
            write_pictures(self.pictures / f"{name}.svg", result, facts)
        if self.as_json:
            row = {"file": str(source), **document(result)}
            print(json.dumps(row, ensure_ascii=False), flush=True)
        else:
            SCREEN.print(DrillText(result, facts))
            SCREEN.print()

    def refuse(self, source: Path, error: RehearseError) -> None:
        """An input that cannot be used."""
        if self.as_json:
            print(json.dumps({"file": str(source), "error": str(error)}), flush=True)
        complain(error)


def notice(text: str) -> None:
    """A line for the person at the screen, never broken, so that its paths can be copied."""
    SCREEN.print(text, soft_wrap=True, markup=False)
