"""The past drills of one person, from the results in their takes."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from rehearse.drill.shown.kept import result_of
from rehearse.drill.shown.trends import Past
from rehearse.drill.values import DrillResult
from rehearse.errors import RehearseError, StoreError
from rehearse.record.drill_take import DrillTake, is_drill_take
from rehearse.session.drill_score import RESULT, keep_result, scored


@dataclass(frozen=True)
class Found:
    """The runs, oldest first; left_out: a line for each that could not be read."""

    runs: tuple[Past, ...]
    left_out: tuple[str, ...]


def past(takes: Path, person: str = "", drill: str = "") -> Found:
    """The runs of a person, from the folder that takes are kept in.

    person: an id, as it was given when the drill was done. drill: only runs of this one; "" for
    all. The kept result is read, so that a run counts when its sound is gone; a run that was never
    scored is scored now.

    Raises:
        StoreError: the folder cannot be read.
    """
    runs: list[Past] = []
    left_out: list[str] = []
    for folder in _folders(takes):
        try:
            take = DrillTake.open(folder)
            header = take.header
            if header.person == person and drill in {"", header.drill}:
                runs.append(Past(header.started.astimezone(), result_in(take)))
        except RehearseError as error:
            left_out.append(str(error))
    return Found(tuple(sorted(runs, key=lambda run: run.started)), tuple(left_out))


def _folders(takes: Path) -> list[Path]:
    if not takes.exists():
        return []
    try:
        return sorted(folder for folder in takes.iterdir() if is_drill_take(folder))
    except OSError as error:
        raise StoreError(f"{takes}: cannot be read; name the folder of the takes") from error


def result_in(take: DrillTake) -> DrillResult:
    """The result that was kept in a take; one that was never scored is scored now.

    Raises:
        StoreError: what was kept is damaged, or the sound to score is gone.
    """
    path = take.folder / RESULT
    try:
        return result_of(json.loads(path.read_text(encoding="utf-8")))
    except FileNotFoundError:
        return _scored_now(take)
    except (OSError, ValueError) as error:
        raise StoreError(f"{path}: {error}; delete it, and its take is scored anew") from error


def _scored_now(take: DrillTake) -> DrillResult:
    if take.sound_path is None:
        raise StoreError(f"{take.folder}: was never scored, and its sound is gone; delete it")
    result = scored(take)
    keep_result(take, result)
    return result
