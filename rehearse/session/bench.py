"""How fast the machine hears and judges: the shipped recordings played in real time."""

from __future__ import annotations

import queue
import resource
import time
from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from statistics import median

import numpy as np

from rehearse.book import shelf
from rehearse.errors import RehearseError, SoundError
from rehearse.events import Ended, Event, Ghost, Heard, Partial
from rehearse.hear.endpoint import EndpointRule
from rehearse.hear.listener import LiveListener
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.recording import Recording
from rehearse.hear.source import Chunk
from rehearse.session.engine import Engine, load_engine

PROCEDURE = "arm-door-2l"
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
RECORDINGS = ("1-complete.flac", "2-three-mistakes.flac")

Told = Callable[[str], None]


@dataclass(frozen=True)
class _Paced:
    """A recording that arrives as fast as it was spoken, as from a microphone."""

    recording: Recording

    @property
    def name(self) -> str:
        """What the recording is called."""
        return self.recording.name

    def chunks(self) -> Generator[Chunk, None, None]:
        """The recording in blocks, each when it would have been spoken."""
        began = time.monotonic()
        with closing(self.recording.chunks()) as chunks:
            for chunk in chunks:
                for at in range(0, len(chunk.samples), _BLOCK):
                    samples = chunk.samples[at : at + _BLOCK]
                    when = chunk.time + at / RATE
                    ready = began + when + len(samples) / RATE
                    time.sleep(max(0.0, ready - time.monotonic()))
                    yield Chunk(samples, when, chunk.lost if at == 0 else None)


_BLOCK = RATE * 32 // 1000  # what a microphone gives at a time


@dataclass(frozen=True)
class _Run:
    """One recording: its length, how late things came, and the time spent on it.

    shown: of each word, from its end to the first text that covers it, provisional or final.
    texts, verdicts: of each utterance, from the end of speech.
    wall, processor: seconds by the clock, and of all processor cores together.
    """

    seconds: float
    shown: tuple[float, ...]
    texts: tuple[float, ...]
    verdicts: tuple[float, ...]
    wall: float
    processor: float


def bench(told: Told) -> list[str]:
    """Delays of texts and verdicts, share of real time and memory, as lines.

    The engine is new for each part and nothing is heard beforehand: a trainee's first sentence is
    heard by a cold engine too, and a sentence heard before would be found in its memory.

    Raises:
        RehearseError: a model or an example recording cannot be used.
    """
    paths = _examples()
    live = _runs(paths, told, pace=True)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    seconds = sum(run.seconds for run in live)
    share = sum(run.processor for run in live) / seconds
    whole = _runs(paths, told, pace=False)
    wall, processor = sum(run.wall for run in whole), sum(run.processor for run in whole)
    pause = EndpointRule().pause
    delays = [
        _delays("end of a word to provisional text", [each for run in live for each in run.shown]),
        _delays("end of speech to final text", [each for run in live for each in run.texts])
        + f", {pause} s of it the pause that ends an utterance",
        _delays("end of speech to verdict", [each for run in live for each in run.verdicts]),
    ]
    cost = (
        f"share of real time, live: {share:.2f} processor seconds of hearing and judging a second "
        f"of sound, provisional texts included; {seconds:.0f} s of sound"
    )
    offline = (
        f"share of real time, recordings: {wall / seconds:.2f} by the clock, "
        f"{processor / seconds:.2f} processor seconds a second of sound"
    )
    return [*delays, cost, offline, f"peak memory: {memory:.0f} MB in the live part"]


def example_sounds() -> list[Sound]:
    """The shipped recordings.

    Raises:
        SoundError: one is missing or damaged.
    """
    found = []
    for path in _examples():
        with closing(Recording(path).chunks()) as chunks:
            found.append(np.concatenate([chunk.samples for chunk in chunks]))
    return found


def _examples() -> list[Path]:
    paths = [EXAMPLES / name for name in RECORDINGS]
    for path in paths:
        if not path.exists():
            raise SoundError(f"{path}: missing; take it from the project again")
    return paths


def _delays(what: str, delays: Sequence[float]) -> str:
    return f"{what}: p50 {median(delays):.2f} s, p95 {_p95(delays):.2f} s, {len(delays)} times"


def _p95(delays: Sequence[float]) -> float:
    """The delay that 95 % do not exceed: one of the delays, the longest where few are."""
    return sorted(delays)[ceil(0.95 * len(delays)) - 1]


def _runs(paths: list[Path], told: Told, *, pace: bool) -> list[_Run]:
    engine = load_engine("en")
    runs = []
    for path in paths:
        told(f"listening to {path.name}{' in real time' if pace else ''}")
        runs.append(_run(path, engine, pace=pace))
    return runs


def _run(path: Path, engine: Engine, *, pace: bool) -> _Run:
    procedure = shelf.find(PROCEDURE)
    assessor = engine.assessor(procedure)
    happenings: queue.Queue[tuple[float, Event | RehearseError]] = queue.Queue()
    recording = Recording(path)
    listener = LiveListener(
        _Paced(recording) if pace else recording,
        engine.recogniser,
        engine.expectation(procedure),
        engine.language_of(procedure),
        emit=lambda event: happenings.put((time.monotonic(), event)),
    )
    before, began = time.process_time(), time.monotonic()
    listener.start()
    shown: list[float] = []
    texts: list[float] = []
    verdicts: list[float] = []
    provisional: list[tuple[float, float]] = []  # when a text came, and the time it covers
    try:
        while True:
            when, event = happenings.get()
            came = when - began
            if isinstance(event, RehearseError):
                raise event
            if isinstance(event, Partial):
                provisional.append((came, event.time))
            if isinstance(event, Heard | Ghost):
                texts.append(came - event.end)
                if isinstance(event, Heard):
                    shown += _shown(event, [*provisional, (came, event.end)])
                    assessor.add(event)
                    assessor.result()
                verdicts.append(time.monotonic() - began - event.end)
                provisional.clear()
            if isinstance(event, Ended):
                spent, wall = time.process_time() - before, time.monotonic() - began
                delays = tuple(shown), tuple(texts), tuple(verdicts)
                return _Run(event.time, *delays, wall, spent)
    finally:
        listener.close()


def _shown(event: Heard, texts: Sequence[tuple[float, float]]) -> list[float]:
    """How late each word of an utterance was shown, by when its texts came and what they cover."""
    return [min(came for came, until in texts if until >= word.end) - word.end
            for word in event.words]  # fmt: skip
