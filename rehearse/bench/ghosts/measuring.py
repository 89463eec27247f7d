"""Blocks heard by one process or many, each outcome kept as soon as it is known."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from functools import cache
from multiprocessing import get_context
from pathlib import Path

from rehearse.bench.ghosts import outcome as outcomes
from rehearse.bench.ghosts.clips import LANGUAGE
from rehearse.bench.ghosts.ground import Ground, ground
from rehearse.bench.ghosts.heard import outcome
from rehearse.bench.ghosts.outcome import Outcome, Place
from rehearse.errors import RehearseError
from rehearse.hear.whisper import Whisper
from rehearse.judge.meaning import Readers
from rehearse.session.engine import SPEECH_MODEL, Engine
from rehearse.weights.step_judge import StepJudge
from rehearse.weights.store import verified

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


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
        return
    os.environ.update(dict.fromkeys(_THREADS, "1"))  # before a worker loads what reads them
    pool = ProcessPoolExecutor(workers, get_context("spawn"))
    try:
        waiting = [pool.submit(_one, place, tuple(folders)) for place in wanted]
        for finished in as_completed(waiting):
            yield finished.result()
    except BrokenProcessPool:
        raise RehearseError(
            "a worker was killed, perhaps for want of memory; go on with fewer --workers"
        ) from None
    finally:
        pool.shutdown(cancel_futures=True)


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
