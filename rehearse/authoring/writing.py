"""Procedures written as files in the style of the shipped ones, so that they read back alike."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence

import yaml

from rehearse.authoring.drafted import DraftProcedure, DraftStep

_BARE = re.compile(r"[^\W\d_].*[^\s:]")  # may do without quotes, if it reads back as itself
_COMMENT = 98  # columns of a comment line


def file_text(procedure: DraftProcedure) -> str:
    """The text of the procedure's file."""
    revision = (
        f"{{number: {procedure.number}, effective: {procedure.effective}, "
        f"source: {json.dumps(procedure.source, ensure_ascii=False)}}}"
    )
    lines = [
        *comments(procedure.remarks, ""),
        f"procedure: {procedure.id}",
        f"title: {scalar(procedure.title)}",
        f"aircraft: {procedure.aircraft}",
        *([f"positions: [{', '.join(procedure.positions)}]"] if procedure.positions else []),
        f"language: {procedure.language}",
        f"revision: {revision}",
        "order: strict",
        *([f"pass: {procedure.passing}"] if procedure.passing else []),
        "steps:",
    ]
    for step in procedure.steps:
        lines += _step(step)
    return "\n".join(lines) + "\n"


def scalar(text: str) -> str:
    """The text as one YAML value: bare where it reads back as itself, else in double quotes."""
    return text if _reads_back(text) else json.dumps(text, ensure_ascii=False)


def _reads_back(text: str) -> bool:
    if _BARE.fullmatch(text) is None or ": " in text:
        return False
    try:
        return bool(yaml.safe_load(text) == text)
    except yaml.YAMLError:
        return False


def _literal(text: str) -> str:
    """The text of a step as one YAML value, its braces doubled: they are no references."""
    return scalar(text.replace("{", "{{").replace("}", "}}"))


def _step(step: DraftStep) -> Iterator[str]:
    yield from comments(step.remarks, "  ")
    yield f"  - id: {step.id}"
    yield f"    say: {_literal(step.say)}"
    if step.command:
        yield "    command: true"
    if step.critical:
        yield "    critical: true"
    if step.reason:
        yield f"    reason: {_literal(step.reason)}"
    for key, texts in (("also", step.also), ("never", step.never)):
        if texts:
            yield f"    {key}:"
            yield from (f"      - {_literal(text)}" for text in texts)


def comments(remarks: Sequence[str], indent: str) -> Iterator[str]:
    """Each remark as comment lines; what could end a comment early is made a space."""
    for remark in remarks:
        line = f"{indent}#"
        for word in "".join(c if c.isprintable() else " " for c in remark).split():
            if len(line) + 1 + len(word) > _COMMENT and line != f"{indent}#":
                yield line
                line = f"{indent}#"
            line += f" {word}"
        yield line
