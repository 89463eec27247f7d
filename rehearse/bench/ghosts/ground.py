"""What every block is made of and heard with: the book, the drills, the voices; and its list."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import soundfile

from rehearse.bench.ghosts.block import SECONDS, Block
from rehearse.bench.ghosts.clips import LANGUAGE, Cast, cast
from rehearse.bench.ghosts.kinds import KINDS, Kind, expected, missing
from rehearse.bench.ghosts.outcome import Place
from rehearse.bench.ghosts.own import script
from rehearse.bench.ghosts.people import everyday
from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.drill.files.shelf import drill_stock
from rehearse.drill.model import Drill
from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE


@dataclass(frozen=True)
class Ground:
    """The book's English procedures and drills, and whose voices can be heard."""

    procedures: tuple[Procedure, ...]
    drills: tuple[Drill, ...]
    cast: Cast

    def block(self, place: Place) -> tuple[Block, Procedure, Drill]:
        """The sound of a block, and what is expected while it is heard. Raises SoundError."""
        kind = KINDS[place.kind]
        procedure = expected(kind, place.number, self.procedures)
        drill = self.drills[place.number % len(self.drills)]
        return kind.block(place.number, self.cast, procedure), procedure, drill


def ground(folders: Sequence[Path], kinds: Sequence[Kind] = ()) -> Ground:
    """The shelf as it stands, and the voices of folders of clips.

    kinds: what must be there for these kinds is.

    Raises:
        RehearseError: a folder cannot be used, or lacks what a kind needs.
    """
    voices = cast(folders, everyday())
    if lacks := missing(kinds, voices):
        raise SoundError(f"{lacks}; give a folder that has it with --clips, or make one: --speak")
    return Ground(_procedures(), _drills(), voices)


@cache
def _procedures() -> tuple[Procedure, ...]:
    return tuple(p for p in shelf.all_procedures() if p.language == LANGUAGE)


@cache
def _drills() -> tuple[Drill, ...]:
    return tuple(drill for drill in drill_stock().drills if drill.language == LANGUAGE)


def places(kinds: Sequence[Kind], minutes: float, *, detected: bool = True) -> list[Place]:
    """So many minutes of each kind, the kinds in turn, so that a broken off run has some of all."""
    count = math.ceil(minutes * 60 / SECONDS)
    return [Place(kind.name, number, detected) for number in range(count) for kind in kinds]


def prompts(minutes: float) -> list[str]:
    """All that the tool's own voice says in so many minutes."""
    kind = next(kind for kind in KINDS.values() if kind.own)
    procedures = _procedures()
    return [
        text
        for place in places([kind], minutes)
        for text in script(expected(kind, place.number, procedures), place.number)
    ]


def check(folders: Sequence[Path], kinds: Sequence[Kind], minutes: float) -> None:
    """Whether every clip is there that so many minutes need: better told now than in an hour.

    Raises:
        SoundError: one is missing, or a folder cannot be used.
    """
    voices = ground(folders, kinds).cast
    others = voices.others if any(kind.others for kind in kinds) else ()
    needed = [path for voice in others for text, path in voice.paths.items() if text in everyday()]
    if voices.own is not None and any(kind.own for kind in kinds):
        for text in prompts(minutes):
            if text not in voices.own.paths:
                raise SoundError(
                    f"the tool's own voice has not said {text!r}; say it with --speak FOLDER"
                )
            needed.append(voices.own.paths[text])
    for path in needed:
        if not path.is_file():
            raise SoundError(f"{path}: there is no such clip; take its line out or say it anew")


def write(
    folder: Path, kinds: Sequence[Kind], minutes: float, clips: Sequence[Path]
) -> Iterator[Path]:
    """The sound of so many minutes of each kind, a file a block, to be listened to.

    Raises:
        SoundError: a clip is missing, or the folder cannot be written.
    """
    made = ground(clips, kinds)
    for place in places(kinds, minutes):
        path = folder / f"{place.kind}-{place.number:03}.flac"
        block, _procedure, _drill = made.block(place)
        try:
            folder.mkdir(parents=True, exist_ok=True)
            soundfile.write(path, block.sound, RATE)
        except (OSError, soundfile.LibsndfileError):
            raise SoundError(f"{path}: cannot be written; name another folder") from None
        yield path
