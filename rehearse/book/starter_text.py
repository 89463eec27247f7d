"""The sentences that a new procedure file holds until its author writes others."""

from __future__ import annotations

PLACEHOLDERS = (
    "Write here what is done first",
    "Write here what is done next, with its side, state or number",
    "Write here what is shouted!",
    "write here the manual and paragraph",
)
