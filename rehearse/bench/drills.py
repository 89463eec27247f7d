"""How well drills are scored: constructed with known truth, heard and scored as any recording."""

from __future__ import annotations

import json
from collections.abc import Generator, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from rehearse.bench.drill_cases import Case, Fault, cases, played
from rehearse.bench.drill_truth import Beside, Pair, beside
from rehearse.bench.drill_voices import Shouter
from rehearse.bench.shouting import CALM, mixed
from rehearse.errors import RehearseError
from rehearse.hear.recogniser import Sound
from rehearse.hear.source import Chunk
from rehearse.measured import Measured
from rehearse.session.drilled import drilled
from rehearse.session.engine import Engine

COUNT = 300
LANGUAGE = "en"


class KeptError(RehearseError):
    """A file of figures that cannot be read or written."""


@dataclass(frozen=True, eq=False)
class Tape:
    """A sound as a source."""

    name: str
    sound: Sound

    def chunks(self) -> Generator[Chunk, None, None]:
        """All of it."""
        yield Chunk(self.sound, 0.0)


def measured(
    count: int, voices: Sequence[Shouter], engine: Engine, keep: Path | None = None
) -> Iterator[Beside]:
    """Each drill scored, beside the truth, as soon as it is known.

    keep: a file that every drill is added to; those in it already are not scored again.

    Raises:
        RehearseError: a voice cannot speak, or the file cannot be used.
    """
    known = {} if keep is None else kept(keep)
    for case in cases(count, len(voices)):
        found = known.get(case.number)
        if found is None:
            found = scored(case, voices[case.voice], engine)
            if keep is not None:
                _add(keep, found)
        yield found


def scored(case: Case, voice: Shouter, engine: Engine) -> Beside:
    """One drill spoken, heard and scored. Raises RehearseError when the voice cannot speak."""
    laid = played(case, [tuple(voice.say(intent.text) for intent in act) for act in case.acts])
    sound = mixed(laid.sayings, laid.seconds, case.snr, case.number)
    tape = Tape(laid.drill.id, sound)
    result = drilled(laid.drill, case.number, tape, engine, calm=Measured(CALM))
    return beside(case, voice.name, [said for said, _ in laid.sayings], result)


def kept(path: Path) -> dict[int, Beside]:
    """The drills of a file, by number; none when there is no such file.

    Raises:
        KeptError: it cannot be read, or holds something else.
    """
    try:
        lines = path.read_text("utf-8").splitlines() if path.exists() else []
    except OSError as error:
        raise KeptError(f"{path}: cannot be read ({error.strerror}); name another file") from None
    found: dict[int, Beside] = {}
    for number, line in enumerate(lines, 1):
        try:
            drill = _beside(json.loads(line))
        except (ValueError, TypeError, KeyError):
            raise KeptError(f"{path}:{number}: no figures of a drill; name another file") from None
        found[drill.number] = drill
    return found


def _beside(row: dict[str, Any]) -> Beside:
    pairs = {
        name: tuple(Pair(**pair) for pair in row[name])
        for name in ("reactions", "levels", "changes", "rates")
    }
    return Beside(**{**row, **pairs, "fault": Fault(row["fault"]), "odd": tuple(row["odd"])})


def _add(path: Path, drill: Beside) -> None:
    try:
        with path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(drill)) + "\n")
    except OSError as error:
        raise KeptError(f"{path}: cannot be written ({error.strerror}); name another") from None
