"""The JSON Schema of an aircraft's register, from the table of keys that its reader goes by."""

from __future__ import annotations

from rehearse.book.schema import Schema, schema_of
from rehearse.register.keys import REGISTER


def register_schema() -> Schema:
    """What keys and values a register may have; whether they fit each other, its reader says."""
    return schema_of("aircraft", REGISTER)
