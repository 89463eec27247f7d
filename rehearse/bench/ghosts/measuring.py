"""Blocks heard by one process or many, each outcome kept as soon as it is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, partial
from pathlib import Path

from rehearse.bench.ghosts import outcome as outcomes
from rehearse.bench.ghosts.clips import LANGUAGE
from rehearse.bench.ghosts.ground import Ground, ground
from rehearse.bench.ghosts.heard import outcome
from rehearse.bench.ghosts.outcome import Outcome, Place
from rehearse.bench.processes import spread
from rehearse.hear.whisper import Whisper
from rehearse.judge.meaning import Readers
from rehearse.session.engine import SPEECH_MODEL, Engine
from rehearse.weights.step_judge import StepJudge
from rehearse.weights.store import verified


def measured(
    wanted: Sequence[Place], folders: Sequence[Path], keep: Path | None = None, workers: int = 1
) -> Iterator[Outcome]:
    """Each block's outcome as soon as it is known, those kept before first.

    folders: of clips. keep: a file that every outcome is added to; blocks in it already are not
    heard again. workers: processes, of one thread each.

    Raises:
        RehearseError: a clip is missing, a model cannot be loaded, the file cannot be used, or a
            worker was killed.
    """
    known = [] if keep is None else outcomes.begun(keep)
    done = {found.place: found for found in known}
    yield from (done[place] for place in wanted if place in done)
    for found in _heard([place for place in wanted if place not in done], folders, workers):
        if keep is not None:
            outcomes.add(keep, found)
        yield found


def _heard(wanted: Sequence[Place], folders: Sequence[Path], workers: int) -> Iterator[Outcome]:
    if workers <= 1:
        yield from (_one(place, tuple(folders)) for place in wanted)
    else:
        yield from spread(partial(_one, folders=tuple(folders)), wanted, workers)


def _one(place: Place, folders: tuple[Path, ...]) -> Outcome:
    block, procedure, drill = _ground(folders).block(place)
    return outcome(block, procedure, drill, _engine(), place=place)


@cache
def _ground(folders: tuple[Path, ...]) -> Ground:
    return ground(folders)


@cache
def _engine() -> Engine:
    """The models on one thread: the work is spread over processes."""
    careful = StepJudge("step-judge-mpnet", threads=1)
    quick = StepJudge("step-judge-minilm", threads=1)
    return Engine(Whisper(verified(SPEECH_MODEL), LANGUAGE, threads=1), Readers(careful, quick))
