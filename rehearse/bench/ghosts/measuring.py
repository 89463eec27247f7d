"""Blocks of every kind heard by one process or many, each outcome kept as soon as it is known."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_EXCEPTION, Future, ProcessPoolExecutor, as_completed, wait
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from pathlib import Path

import soundfile

from rehearse.bench.ghosts import outcome as outcomes
from rehearse.bench.ghosts.block import SECONDS, Block
from rehearse.bench.ghosts.clips import LANGUAGE, Cast, cast
from rehearse.bench.ghosts.heard import outcome
from rehearse.bench.ghosts.kinds import KINDS, Kind, expected, missing
from rehearse.bench.ghosts.outcome import Outcome
from rehearse.bench.ghosts.own import script
from rehearse.bench.ghosts.people import everyday
from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.drill.files.shelf import drill_stock
from rehearse.drill.model import Drill
from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE
from rehearse.judge.meaning import Readers
from rehearse.session.engine import SPEECH_MODEL, Engine

MINUTES = 30.0
_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@dataclass(frozen=True)
class Place:
    """One block to be heard."""

    kind: str
    number: int


@dataclass(frozen=True)
class Ground:
    """What every block is heard with."""

    procedures: tuple[Procedure, ...]
    drills: tuple[Drill, ...]
    cast: Cast

    def block(self, place: Place) -> tuple[Block, Procedure, Drill]:
        """The sound of a block, and what is expected while it is heard. Raises SoundError."""
        kind = KINDS[place.kind]
        procedure = expected(kind, place.number, self.procedures)
        drill = self.drills[place.number % len(self.drills)]
        return kind.block(place.number, self.cast, procedure), procedure, drill


def ground(folders: Sequence[Path]) -> Ground:
    """The book's English procedures and drills, and the voices of folders of clips.

    Raises:
        RehearseError: a folder cannot be used.
    """
    procedures = tuple(p for p in shelf.all_procedures() if p.language == LANGUAGE)
    drills = tuple(drill for drill in drill_stock().drills if drill.language == LANGUAGE)
    return Ground(procedures, drills, cast(folders, everyday()))


def places(kinds: Sequence[Kind], minutes: float) -> list[Place]:
    """So many minutes of each kind, the kinds in turn, so that a broken off run has some of all."""
    count = math.ceil(minutes * 60 / SECONDS)
    return [Place(kind.name, number) for number in range(count) for kind in kinds]


def prompts(minutes: float) -> list[str]:
    """All that the tool's own voice says in so many minutes."""
    kind = next(kind for kind in KINDS.values() if kind.own)
    procedures = ground(()).procedures
    numbers = {place.number for place in places([kind], minutes)}
    return [
        text
        for number in sorted(numbers)
        for text in script(expected(kind, number, procedures), number)
    ]


def write(
    folder: Path, kinds: Sequence[Kind], minutes: float, clips: Sequence[Path]
) -> Iterator[Path]:
    """The sound of so many minutes of each kind, a file a block, to be listened to.

    Raises:
        SoundError: a clip is missing, or the folder cannot be written.
    """
    made = ground(clips)
    _check(kinds, made.cast)
    for place in places(kinds, minutes):
        path = folder / f"{place.kind}-{place.number:03}.flac"
        block, _procedure, _drill = made.block(place)
        try:
            folder.mkdir(parents=True, exist_ok=True)
            soundfile.write(path, block.sound, RATE)
        except (OSError, soundfile.LibsndfileError):
            raise SoundError(f"{path}: cannot be written; name another folder") from None
        yield path


def measured(
    kinds: Sequence[Kind],
    minutes: float,
    folders: Sequence[Path],
    keep: Path | None = None,
    workers: int = 1,
) -> Iterator[Outcome]:
    """Each block's outcome as soon as it is known, those kept before first.

    keep: a file that every outcome is added to; blocks in it already are not heard again.

    Raises:
        RehearseError: a clip is missing, a model cannot be loaded, the file cannot be used.
    """
    _check(kinds, ground(folders).cast)
    wanted = places(kinds, minutes)
    known: list[Outcome] = []
    if keep is not None and keep.exists():
        outcomes.mended(keep)
        known = outcomes.kept([keep])
    done = {Place(found.kind, found.number): found for found in known}
    yield from (done[place] for place in wanted if place in done)
    for found in _heard([place for place in wanted if place not in done], folders, workers):
        if keep is not None:
            outcomes.add(keep, found)
        yield found


def _check(kinds: Sequence[Kind], voices: Cast) -> None:
    if lacks := missing(kinds, voices):
        raise SoundError(f"{lacks}; give a folder that has it with --clips, or make one: --speak")


def _heard(wanted: Sequence[Place], folders: Sequence[Path], workers: int) -> Iterator[Outcome]:
    if workers <= 1:
        yield from (_one(place, tuple(folders)) for place in wanted)
        return
    os.environ.update(dict.fromkeys(_THREADS, "1"))  # before a worker loads what reads them
    with ProcessPoolExecutor(workers, get_context("spawn")) as pool:
        waiting = [pool.submit(_one, place, tuple(folders)) for place in wanted]
        try:
            for finished in as_completed(waiting):
                yield finished.result()
        finally:
            _drop(waiting)


def _drop(waiting: Sequence[Future[Outcome]]) -> None:
    for future in waiting:
        future.cancel()
    wait(waiting, return_when=FIRST_EXCEPTION)


def _one(place: Place, folders: tuple[Path, ...]) -> Outcome:
    block, procedure, drill = _ground(folders).block(place)
    return outcome(block, procedure, drill, _engine(), kind=place.kind, number=place.number)


@cache
def _ground(folders: tuple[Path, ...]) -> Ground:
    return ground(folders)


@cache
def _engine() -> Engine:
    """The models on one thread: the work is spread over processes."""
    from rehearse.hear.whisper import Whisper
    from rehearse.weights.step_judge import StepJudge
    from rehearse.weights.store import verified

    careful = StepJudge("step-judge-mpnet", threads=1)
    quick = StepJudge("step-judge-minilm", threads=1)
    return Engine(Whisper(verified(SPEECH_MODEL), LANGUAGE, threads=1), Readers(careful, quick))
