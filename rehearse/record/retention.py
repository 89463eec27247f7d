"""A voice is kept for a stated time: the sound of older takes is deleted, their logs stay."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from rehearse.errors import StoreError
from rehearse.record.drill_take import DrillTake, is_drill_take
from rehearse.record.take import Take

KEEP_DAYS = 30  # how long the sound of a practice take or of a drill is kept


def forget_sounds(folder: Path, now: datetime, days: int = KEEP_DAYS) -> list[Path]:
    """Deletes the sound of every take in `folder` that began more than `days` days before `now`.

    Folders that are not takes, or cannot be read, are left alone.

    Returns:
        The sound files that were deleted.
    """
    gone: list[Path] = []
    for inside in sorted(folder.iterdir()) if folder.is_dir() else ():
        try:
            take = (DrillTake if is_drill_take(inside) else Take).open(inside)
        except StoreError:
            continue
        sound = take.sound_path
        if sound is not None and now - take.header.started > timedelta(days=days):
            try:
                sound.unlink()
            except OSError:
                continue
            gone.append(sound)
    return gone
