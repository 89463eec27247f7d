"""Results of the hearing benchmark, one a line of a file, and read back."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from rehearse.bench.hearing.slots import Slot
from rehearse.bench.hearing.trials import RIGHT
from rehearse.errors import RehearseError

TEXT = "text"  # the condition of a row that no sound was heard for

Key = tuple[str, str, str, str]  # voice, text, condition, pipeline


class KeptError(RehearseError):
    """A file of results that cannot be read or written."""


@dataclass(frozen=True)
class Row:
    """What one pipeline made of one text said by one voice under one condition.

    seconds: of the utterance. heard: the text that came out; "" when nothing did.
    exact: whether every word is right. slots: the deciding words.
    verdict: of the step meant, as `rehearse.judge.verdict` spells it; "" from a pipeline that
        gives only a score. score: 0..1, likeness to the step or probability that it was said.
    delay: processor seconds from the end of the utterance to its text. cost: all processor
        seconds of hearing it. judging: processor seconds from text to verdict or score.
    support: nats a token; None when the pipeline has none.
    """

    voice: str
    procedure: str
    step: str
    kind: str
    command: bool
    text: str
    condition: str
    pipeline: str
    seconds: float
    heard: str
    exact: bool
    slots: tuple[Slot, ...]
    verdict: str
    score: float
    delay: float
    cost: float
    judging: float
    support: float | None = None

    @property
    def key(self) -> Key:
        """What tells it from every other result of a run."""
        return self.voice, self.text, self.condition, self.pipeline

    @property
    def right(self) -> bool:
        """Whether what was said says the step."""
        return self.kind in RIGHT


def read(paths: Sequence[Path]) -> dict[Key, Row]:
    """The results of several files, by key; of two with one key the later counts.

    A last line that a killed run left half written is passed over; a missing file holds nothing.

    Raises:
        KeptError: a file cannot be read, or holds something else; the message names the line.
    """
    found: dict[Key, Row] = {}
    for path in paths:
        for number, line in enumerate(_whole_lines(path), 1):
            try:
                row = _row(json.loads(line))
            except (ValueError, TypeError, KeyError):
                raise KeptError(
                    f"{path}:{number}: no result of 'bench hear'; take the line out, or name "
                    "another file"
                ) from None
            found[row.key] = row
    return found


def add(path: Path, rows: Iterable[Row]) -> None:
    """Adds results to a file, in place of a half line that a killed run left.

    Raises:
        KeptError: it cannot be written.
    """
    text = "".join(json.dumps(asdict(row), separators=(",", ":")) + "\n" for row in rows)
    try:
        _mend(path)
        with path.open("a", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        raise KeptError(f"{path}: cannot be written ({error.strerror}); name another") from None


def _whole_lines(path: Path) -> list[str]:
    try:
        text = path.read_text("utf-8", errors="replace") if path.exists() else ""
    except OSError as error:
        raise KeptError(f"{path}: cannot be read ({error.strerror}); name another file") from None
    return text[: text.rfind("\n") + 1].splitlines()


def _mend(path: Path) -> None:
    """Takes a half line off the end."""
    if not path.exists():
        return
    with path.open("r+b") as file:
        size = file.seek(0, 2)
        if not size:
            return
        file.seek(size - 1)
        if file.read(1) != b"\n":
            file.seek(0)
            file.truncate(file.read().rfind(b"\n") + 1)


def _row(row: dict[str, Any]) -> Row:
    return Row(**{**row, "slots": tuple(Slot(**slot) for slot in row["slots"])})
