"""Labelled utterances for fitting, as they lie in the corpus."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

OTHER_AIRCRAFT = "other-aircraft.jsonl"
FITTING = "fitting"  # folder of further rows, one file an author


@dataclass(frozen=True)
class Row:
    """One utterance about one step. expect: said, incomplete, wrong or not_said."""

    group: str
    step: str
    critical: bool
    said: str
    expect: str
    kind: str


def read_rows(corpus: Path) -> list[Row]:
    """Every row that the step judges may be fitted on; commands, judged word by word, are not."""
    files = [corpus / OTHER_AIRCRAFT, *sorted((corpus / FITTING).glob("*.jsonl"))]
    return [row for file in files for row in _rows(file)]


def _rows(file: Path) -> Iterable[Row]:
    for line in file.read_text("utf-8").splitlines():
        fields = json.loads(line)
        if not fields.get("command"):
            group = file.stem + "/" + str(fields["group"])
            wanted = {name: fields[name] for name in ("step", "critical", "said", "expect", "kind")}
            yield Row(group=group, **wanted)


def write_rows(file: Path, rows: Sequence[Row]) -> None:
    """One JSON object a line, in the order given."""
    lines = [json.dumps(asdict(row), ensure_ascii=False) for row in rows]
    file.write_text("\n".join(lines) + "\n", "utf-8")
