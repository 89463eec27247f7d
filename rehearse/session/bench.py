"""How fast the machine hears and judges: the shipped recordings played in real time."""

from __future__ import annotations

import queue
import resource
import time
from collections.abc import Callable, Generator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from statistics import median, quantiles

from rehearse.book import shelf
from rehearse.errors import RehearseError, SoundError
from rehearse.events import Ended, Event, Ghost, Heard
from rehearse.hear.listener import LiveListener
from rehearse.hear.recogniser import RATE
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
    """One recording: its length, the delay of each verdict, and the processor time spent."""

    seconds: float
    delays: tuple[float, ...]
    processor: float


def bench(told: Told) -> list[str]:
    """Delay from the end of speech to the verdict, share of real time and memory, as lines.

    Raises:
        RehearseError: a model or an example recording cannot be used.
    """
    paths = [EXAMPLES / name for name in RECORDINGS]
    for path in paths:
        if not path.exists():
            raise SoundError(f"{path}: missing; take it from the project again")
    engine = load_engine()
    _run(paths[0], engine, pace=False)  # the first take warms caches that a practice has warm
    runs = []
    for path in paths:
        told(f"listening to {path.name} in real time")
        runs.append(_run(path, engine, pace=True))
    delays = [delay for run in runs for delay in run.delays]
    seconds = sum(run.seconds for run in runs)
    share = sum(run.processor for run in runs) / seconds
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    delay = (
        f"from the end of speech to its verdict: p50 {median(delays):.2f} s, "
        f"p95 {quantiles(delays, n=20)[-1]:.2f} s ({len(delays)} utterances; 0.6 s of each is the "
        "pause that ends an utterance)"
    )
    cost = (
        f"share of real time: {share:.2f} (processor seconds of hearing and judging a second of "
        f"sound, provisional texts included; {seconds:.0f} s of sound)"
    )
    return [delay, cost, f"peak memory: {memory:.0f} MB"]


def _run(path: Path, engine: Engine, *, pace: bool) -> _Run:
    procedure = shelf.find(PROCEDURE)
    assessor = engine.assessor(procedure)
    happenings: queue.Queue[tuple[float, Event | RehearseError]] = queue.Queue()
    recording = Recording(path)
    listener = LiveListener(
        _Paced(recording) if pace else recording,
        engine.recogniser,
        engine.expectation(procedure),
        engine.language,
        emit=lambda event: happenings.put((time.monotonic(), event)),
    )
    before, began = time.process_time(), time.monotonic()
    listener.start()
    delays: list[float] = []
    try:
        while True:
            _, event = happenings.get()
            if isinstance(event, RehearseError):
                raise event
            if isinstance(event, Heard | Ghost):
                if isinstance(event, Heard):
                    assessor.add(event)
                    assessor.result()
                delays.append(time.monotonic() - began - event.end)
            if isinstance(event, Ended):
                return _Run(event.time, tuple(delays), time.process_time() - before)
    finally:
        listener.close()
