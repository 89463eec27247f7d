"""Whose results a new revision makes stale; nothing is changed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from rehearse.book.model import Procedure
from rehearse.programme.columns import Columns
from rehearse.programme.currency import Revisions, Standing
from rehearse.programme.sweep import sweep


def made_stale(columns: Columns, new: Sequence[Procedure], on: date) -> list[Standing]:
    """Everyone whose last passed check of an element asked an older revision, on this day.

    new: procedures in their new revisions; those of other aircraft or elements play no part.
    on: not before the revisions take effect, or nothing is stale yet.
    """
    revisions: Revisions = {procedure.id: (procedure.revision,) for procedure in new}
    return [standing for standing in sweep(columns, on, revisions).due() if standing.stale]
