"""A file to begin a procedure with: valid as it stands, every key explained in a comment."""

from __future__ import annotations

from datetime import date

from rehearse.authoring.writing import comments, scalar
from rehearse.book.starter_text import PLACEHOLDERS
from rehearse.safety import NOTICE

_FIRST, _SECOND, _COMMAND, _SOURCE = PLACEHOLDERS


def starter(
    procedure_id: str,
    *,
    title: str,
    aircraft: str,
    positions: tuple[str, ...],
    language: str,
    effective: date,
) -> str:
    """The text of the file. All values must be as a procedure file takes them."""
    crew = (
        f"positions: [{', '.join(positions)}]  # who it belongs to; left out: every position"
        if positions
        else "# positions: [C4]  # who it belongs to; left out: every position"
    )
    notice = "\n".join(comments((NOTICE,), ""))
    return f"""\
{notice}
#
# 'rehearse book lint FILE' says what is left to do. procedures/README.md explains every key,
# docs/authors.md leads through the work. A text with ': ' or '#' in it goes in quotes.
procedure: {procedure_id}
title: {scalar(title)}
aircraft: {aircraft}
{crew}
language: {language}
revision: {{number: 1, effective: {effective}, source: "{_SOURCE}"}}
order: strict  # a step follows every step above it; free: only what its 'after' names
pass: {{critical: all}}  # also: share, 0 to 1 of the steps; within, seconds
steps:
  # One or two facts a step, as the manual has them.
  - id: first
    say: {_FIRST}
    # also: ["another wording that counts as said, with everything that must be exact"]
  - id: second
    say: {_SECOND}
    # critical: true  # never credited unless it was said; then a reason belongs to it
    # reason: What happens otherwise.
    # never: ["what must not be said: the dangerous opposite"]
  # Shouted words go by every word instead of by meaning.
  - id: command
    say: {_COMMAND}
    command: true
"""
