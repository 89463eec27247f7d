"""The take of a drill as a folder: what happened, the drill as it was, and the sound.

`drill.jsonl` holds a header line and then one event a line, `drill.yaml` the drill written out
with every word in it, `lexicon.yaml` the operator's words where there are any, and `sound.flac`
what was heard (16 kHz, mono, 16 bits). Second n of the sound is second n of the events. A take's
result follows from these files alone.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal, Self

from rehearse import __version__
from rehearse.book.lexicon import NAME as LEXICON
from rehearse.drill.files.reader import procedures_of, read_drill
from rehearse.drill.files.writing import written
from rehearse.drill.model import Drill
from rehearse.drill.values import NO_BASELINE, Run
from rehearse.errors import RehearseError, StoreError
from rehearse.events import Event
from rehearse.hear.recogniser import Sound
from rehearse.measured import Measured
from rehearse.record import flac, log, place
from rehearse.record.cue_times import latency, placed
from rehearse.record.heading import header_in, row_of
from rehearse.record.take import TakeWriter
from rehearse.safety import NOTICE

FORMAT = 1  # raised only when an older tool could misread a take
LOG = "drill.jsonl"
UNKNOWN_LATENCY = Measured(0.0, 0.2)  # seconds; an ordinary sound card, from end to end

_DRILL = "drill.yaml"
_SOUND = "sound.flac"

SourceKind = Literal["microphone", "recording"]


@dataclass(frozen=True)
class DrillHeader:
    """The first line of a drill's log.

    id: the name of the take's folder when it was made. started: with its time zone.
    drill, revision: which. seed: what every wait and branch follows from.
    position: the crew position it was done for; "" for any.
    person: whose drill it is, an id, never a name; "" for whoever uses this computer's account.
    source: where the sound came from. device: the microphone's name, "" for a recording.
    headset: the tool's sounds could not reach the microphone, which heard all the time.
    calm: the speaker's calm level on this device, dB over full scale.
    latency: as the devices state it, seconds; what the microphone measured is in the events.
    drill_sha256: of `drill.yaml`.
    """

    id: str
    started: datetime
    drill: str
    revision: int
    seed: int
    position: str
    person: str
    source: SourceKind
    device: str
    headset: bool
    calm: Measured
    latency: Measured
    drill_sha256: str
    tool: str = __version__
    notice: str = NOTICE


def begin(
    folder: Path,
    drill: Drill,
    *,
    seed: int,
    started: datetime,
    source: SourceKind = "microphone",
    headset: bool = False,
    calm: Measured = NO_BASELINE,
    latency: Measured = UNKNOWN_LATENCY,
    person: str = "",
    device: str = "",
) -> TakeWriter:
    """A drill's take, begun in a new folder inside `folder`, to be written as it happens.

    Raises:
        StoreError: the folder cannot be written, or the drill cannot be kept so that it reads
            back alike.
    """
    text = written(drill).encode()
    inside = place.new_folder(folder, started, f"drill-{drill.id}")
    header = DrillHeader(
        id=inside.name,
        started=started.astimezone(UTC),
        drill=drill.id,
        revision=drill.revision.number,
        seed=seed,
        position=drill.position,
        person=person,
        source=source,
        device=device,
        headset=headset,
        calm=calm,
        latency=latency,
        drill_sha256=sha256(text).hexdigest(),
    )
    try:
        place.write_private(inside / _DRILL, text)
        _keep_words(drill, inside)
        if read_drill(inside / _DRILL) != drill:
            raise StoreError(f"{drill.path or drill.id}: changed since it was read; start again")
        log_file = log.Log(inside / LOG)
        log_file.append(row_of(asdict(header), FORMAT))
        sound = flac.FlacWriter(inside / _SOUND)
    except RehearseError:
        shutil.rmtree(inside, ignore_errors=True)  # nothing happened in this take yet
        raise
    place.keep_entries(inside)
    return TakeWriter(inside, log_file, sound)


def is_drill_take(folder: Path) -> bool:
    """Whether a folder of takes holds a drill's."""
    return (folder / LOG).is_file()


@dataclass(frozen=True)
class DrillTake:
    """A drill's take as it lies on the disk.

    events: what happened, in the order it was written. unknown: how many events a newer tool
        wrote that this one does not know. torn: the last line was cut short.
    """

    folder: Path
    header: DrillHeader
    events: tuple[Event, ...]
    unknown: int
    torn: bool

    @classmethod
    def open(cls, folder: Path) -> Self:
        """Read a take's log; drill and sound are read only when asked for.

        Raises:
            StoreError: this is no drill's take, a newer tool wrote it in a way this one cannot
                read, or its log was changed afterwards.
        """
        path = folder / LOG
        content = log.read_rows(path)
        if not content.rows:
            raise StoreError(f"{path}:1: the header is missing; nothing of this take was written")
        header = header_in(path, content.rows[0][1], FORMAT, _header)
        rows = content.rows[1:]
        found = log.read_events(path, rows)
        return cls(folder, header, found, len(rows) - len(found), content.torn)

    @property
    def sound_path(self) -> Path | None:
        """The recording, or None when it has been deleted since."""
        path = self.folder / _SOUND
        return path if path.exists() else None

    def sound(self) -> Iterator[Sound]:
        """The sound in short pieces, mono float32 at 16 kHz; nothing when there is none.

        Raises:
            StoreError: the file is damaged; all that can be read comes first.
        """
        if self.sound_path is not None:
            yield from flac.read(self.sound_path)

    @cached_property
    def drill(self) -> Drill:
        """The drill as it was when the take was made.

        Raises:
            StoreError: the file is gone or was changed.
            BookError: this version cannot read it.
        """
        path = self.folder / _DRILL
        try:
            text = path.read_bytes()
        except OSError as error:
            raise StoreError(f"{path}: missing; restore it from a copy") from error
        if sha256(text).hexdigest() != self.header.drill_sha256:
            raise StoreError(
                f"{path}: this is not {self.header.drill} revision {self.header.revision} as the "
                "take was of it; restore it from a copy"
            )
        return replace(read_drill(path), position=self.header.position)

    @property
    def run(self) -> Run:
        """All that the drill's result follows from, but for the sound. Raises as `drill`."""
        header = self.header
        late = latency(self.events, header.latency)
        events = placed(self.events, late)
        return Run(self.drill, header.seed, header.headset, header.calm, late, events)


def _keep_words(drill: Drill, inside: Path) -> None:
    """A copy of the operator's words that the drill was read with, if there are any."""
    if drill.path is None:
        return
    for folder in (drill.path.parent, procedures_of(drill.path)):
        lexicon = folder / LEXICON
        if lexicon.exists():
            try:
                place.write_private(inside / LEXICON, lexicon.read_bytes())
            except OSError as error:
                raise StoreError(f"{lexicon}: cannot be read; check the file") from error
            return


def _header(row: Mapping[str, Any]) -> DrillHeader:
    return DrillHeader(
        id=str(row["take"]),
        started=datetime.fromisoformat(row["started"]),
        drill=str(row["drill"]),
        revision=int(row["revision"]),
        seed=int(row["seed"]),
        position=str(row["position"]),
        person=str(row["person"]),
        source=row["source"],
        device=str(row["device"]),
        headset=bool(row["headset"]),
        calm=Measured(**row["calm"]),
        latency=Measured(**row["latency"]),
        drill_sha256=str(row["drill_sha256"]),
        tool=str(row["tool"]),
        notice=str(row["notice"]),
    )
