"""A kept drill scored from its take alone, and what is made of its result in the take's folder."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np

from rehearse.book.model import Procedure
from rehearse.drill.scoring.meant import ByMeaning
from rehearse.drill.scoring.score import score
from rehearse.drill.shown.document import document
from rehearse.drill.shown.facts import Facts
from rehearse.drill.shown.picture import picture
from rehearse.drill.values import DrillResult
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.language import load
from rehearse.paper.png import png
from rehearse.record.drill_take import DrillTake
from rehearse.record.place import cannot_write
from rehearse.session.drilled import language_of
from rehearse.session.engine import load_readers

RESULT, SVG, PNG = "result.json", "drill.svg", "drill.png"


def scored(take: DrillTake, readers: Callable[[], Readers] = load_readers) -> DrillResult:
    """The result of a kept run: of the same take always the same.

    readers: the judges of meaning, asked for only where an answer is no command.

    Raises:
        StoreError: the take was changed afterwards.
        RehearseError: a judge cannot be loaded.
    """
    once = cache(readers)

    def assessor(procedure: Procedure) -> Assessor:
        return Assessor(procedure, once(), load(procedure.language))

    sound = np.concatenate([np.zeros(0, np.float32), *take.sound()])
    run = take.run
    return score(run, sound, language_of(run.drill), ByMeaning(run.drill, assessor))


def facts_of(take: DrillTake) -> Facts:
    """What a picture or a text tells of the run beside its result."""
    header = take.header
    return (
        ("Day", f"{header.started:%Y-%m-%d %H:%M} UTC"),
        *((("Position", header.position),) if header.position else ()),
        *((("Person", header.person),) if header.person else ()),
        ("Heard through", "a headset" if header.headset else "a loudspeaker and a microphone"),
    )


def keep_result(take: DrillTake, result: DrillResult) -> None:
    """Writes the result into the take's folder; it outlives the sound. Raises StoreError."""
    content = json.dumps(document(result), ensure_ascii=False, indent=1)
    _write(take.folder / RESULT, content.encode())


def keep_picture(take: DrillTake, result: DrillResult) -> Path:
    """Writes the picture of the run into the take's folder, and tells where the PNG is.

    Raises:
        StoreError: the folder cannot be written.
        PaperError: the picture cannot be drawn.
    """
    write_pictures(take.folder / SVG, result, facts_of(take))
    return take.folder / PNG


def write_pictures(svg: Path, result: DrillResult, facts: Facts = ()) -> None:
    """Writes the picture of a run as `svg`, and beside it as PNG. Raises as `keep_picture`."""
    write_drawing(svg, picture(result, facts))


def write_drawing(svg: Path, drawn: str) -> None:
    """Writes a drawing as `svg`, and beside it as PNG. Raises as `keep_picture`."""
    _write(svg, drawn.encode())
    _write(svg.with_suffix(".png"), png(drawn))


def _write(path: Path, content: bytes) -> None:
    """For the owner only, as everything in a take."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        path.touch(mode=0o600)
        path.write_bytes(content)
    except OSError as error:
        raise cannot_write(path, error) from error
