"""The JSON Schema of drill files, made from the table of keys that the reader goes by."""

from __future__ import annotations

from rehearse.book.schema import Schema, schema_of
from rehearse.drill.files.keys import DRILL


def drill_schema() -> Schema:
    """What keys and values a drill file may have; whether they fit each other, `book lint` says."""
    return schema_of("drill", DRILL)
