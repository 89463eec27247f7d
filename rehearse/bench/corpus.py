"""The evaluation corpus: labelled utterances and recitations, read and checked against the book."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rehearse.book.faults import nearest
from rehearse.book.model import Procedure, Step
from rehearse.errors import RehearseError
from rehearse.events import Heard
from rehearse.judge.verdict import Verdict

# What the judge's numbers may be fitted on. All other procedures are held out: nobody looks at
# them to choose a number.
DEVELOPMENT = frozenset(
    {
        "arm-door-2l",
        "close-door-normal",
        "cross-check-doors",
        "ditching-doors",
        "evacuation-commands",
        "open-door-emergency",
    }
)
PACE = 2.5  # words a second, an ordinary pace of speech
GAP = 0.8  # seconds between two utterances


class CorpusError(RehearseError):
    """A corpus folder or file that cannot be used."""


@dataclass(frozen=True)
class StepCase:
    """One utterance judged for one step alone, and the verdict an instructor would give."""

    procedure: Procedure
    step: Step
    said: str
    expect: Verdict
    kind: str
    why: str
    where: str

    @property
    def development(self) -> bool:
        """Whether thresholds may be fitted on it."""
        return self.procedure.id in DEVELOPMENT


@dataclass(frozen=True)
class Recitation:
    """A whole take: utterances, the verdict on every step, and the dangerous words in it."""

    procedure: Procedure
    utterances: tuple[str, ...]
    expect: Mapping[str, Verdict]
    dangerous: tuple[str, ...]
    kind: str
    why: str
    where: str

    @property
    def development(self) -> bool:
        """Whether thresholds may be fitted on it."""
        return self.procedure.id in DEVELOPMENT


@dataclass(frozen=True)
class Corpus:
    """All cases, in the order of the files."""

    steps: tuple[StepCase, ...]
    recitations: tuple[Recitation, ...]

    @property
    def development(self) -> Corpus:
        """The cases that numbers and rules may be fitted on."""
        return Corpus(
            tuple(case for case in self.steps if case.development),
            tuple(take for take in self.recitations if take.development),
        )


def read_corpus(folder: Path, procedures: Mapping[str, Procedure]) -> Corpus:
    """The cases in `folder/steps` and `folder/recitations`.

    Raises:
        CorpusError: the folder is not there, holds no case, or a row has a fault; the message
            names file, line, field and the mend.
    """
    if not folder.is_dir():
        raise CorpusError(
            f"{folder}: there is no corpus here; run this in a checkout of the project, "
            "where it lies in tests/corpus, or name its folder"
        )
    steps = tuple(_step_case(row, procedures) for row in _rows(folder / "steps"))
    recitations = tuple(_recitation(row, procedures) for row in _rows(folder / "recitations"))
    if not steps and not recitations:
        raise CorpusError(
            f"{folder}: no case in it; cases are lines of steps/*.jsonl and recitations/*.jsonl"
        )
    return Corpus(steps, recitations)


def spoken(utterances: tuple[str, ...]) -> tuple[Heard, ...]:
    """The utterances with times as if said one after the other at an ordinary pace."""
    heards: list[Heard] = []
    at = 0.0
    for text in utterances:
        end = at + len(text.split()) / PACE
        heards.append(Heard(at, end, text))
        at = end + GAP
    return tuple(heards)


@dataclass(frozen=True)
class _Row:
    """One line of a corpus file; its accessors raise a CorpusError that names the field."""

    values: dict[str, Any]
    where: str

    def text(self, field: str) -> str:
        value = self.values.get(field)
        if not isinstance(value, str) or not value.strip():
            raise CorpusError(f"{self.where}: {field}: missing or empty; write a text")
        return value

    def texts(self, field: str) -> tuple[str, ...]:
        value = self.values.get(field)
        if not isinstance(value, list) or not all(isinstance(v, str) and v.strip() for v in value):
            raise CorpusError(f"{self.where}: {field}: not a list of texts; write a JSON array")
        return tuple(value)

    def known(self, field: str, name: object, choices: Mapping[str, Any]) -> Any:  # noqa: ANN401
        """The choice of this name."""
        if name not in choices:
            close = nearest(str(name), choices)
            mend = f"did you mean '{close}'?" if close else "write one of " + ", ".join(choices)
            raise CorpusError(f"{self.where}: {field}: '{name}' is not known; {mend}")
        return choices[str(name)]


def _rows(folder: Path) -> Iterator[_Row]:
    for path in sorted(folder.glob("*.jsonl")):
        try:
            lines = path.read_text("utf-8").split("\n")
        except (OSError, UnicodeDecodeError) as error:
            raise CorpusError(f"{path}: cannot be read as UTF-8 text ({error})") from None
        for number, line in enumerate(lines, 1):
            if line.strip():
                yield _row(line, f"{path}:{number}")


def _row(line: str, where: str) -> _Row:
    try:
        values = json.loads(line)
    except (json.JSONDecodeError, RecursionError):
        values = None
    if not isinstance(values, dict):
        raise CorpusError(f"{where}: not a JSON object; write one case a line")
    return _Row(values, where)


_VERDICTS = {verdict.value: verdict for verdict in Verdict}


def _step_case(row: _Row, procedures: Mapping[str, Procedure]) -> StepCase:
    procedure = row.known("procedure", row.text("procedure"), procedures)
    steps = {step.id: step for step in procedure.steps}
    return StepCase(
        procedure,
        row.known("step", row.text("step"), steps),
        row.text("said"),
        row.known("expect", row.text("expect"), _VERDICTS),
        row.text("kind"),
        row.text("why"),
        row.where,
    )


def _recitation(row: _Row, procedures: Mapping[str, Procedure]) -> Recitation:
    procedure = row.known("procedure", row.text("procedure"), procedures)
    utterances, dangerous = row.texts("utterances"), row.texts("dangerous")
    if not utterances:
        raise CorpusError(f"{row.where}: utterances: none; write what was said")
    expect = row.values.get("expect")
    ids = [step.id for step in procedure.steps]
    if not isinstance(expect, dict) or set(expect) != set(ids):
        raise CorpusError(
            f"{row.where}: expect: must give a verdict for exactly the steps {', '.join(ids)}"
        )
    for words in dangerous:
        if not any(words in utterance for utterance in utterances):
            raise CorpusError(
                f"{row.where}: dangerous: '{words}' is in no utterance; copy its words exactly"
            )
    return Recitation(
        procedure,
        utterances,
        {step: row.known("expect", expect[step], _VERDICTS) for step in ids},
        dangerous,
        row.text("kind"),
        row.text("why"),
        row.where,
    )
