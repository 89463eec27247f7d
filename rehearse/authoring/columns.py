"""The columns of a table of steps, and what each of its cells may hold."""

from __future__ import annotations

# In the order in which a new table should have them; what each holds is in docs/authors.md.
COLUMNS = (
    "procedure", "title", "paragraph", "positions", "step", "say", "critical", "command",
    "reason", "also", "never",
)  # fmt: skip
REQUIRED = ("procedure", "say")
TRUE = frozenset({"true", "yes", "y", "x", "1"})
FALSE = frozenset({"", "false", "no", "n", "0", "-"})
BETWEEN = "|"  # several wordings in one cell
