"""A take as a folder: the log of what happened, the procedure as it was, and the sound.

`take.jsonl` holds a header line and then one event a line, `procedure.yaml` the very bytes of
the procedure file, `lexicon.yaml` those of the operator's words and `aircraft.yaml` those of the
register that its references are filled in from, where there are any, and `sound.flac` what was
heard (16 kHz, mono, 16 bits), unless no sound was to be kept.
Second n of the sound is second n of the events.
"""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self

from rehearse import __version__, events
from rehearse.book import reader
from rehearse.book.beside import AIRCRAFT
from rehearse.book.lexicon import NAME as LEXICON
from rehearse.book.model import Procedure
from rehearse.book.seal import checksum
from rehearse.errors import RehearseError, StoreError
from rehearse.events import Event
from rehearse.hear.recogniser import Sound
from rehearse.record import flac, log, place
from rehearse.record.heading import header_in, row_of
from rehearse.record.place import takes_folder
from rehearse.register.references import used
from rehearse.safety import NOTICE

__all__ = ["Header", "SourceKind", "Take", "TakeWriter", "takes_folder"]

FORMAT = 1  # raised only when an older tool could misread a take

SourceKind = Literal["microphone", "recording", "words"]

_LOG = "take.jsonl"
_PROCEDURE = "procedure.yaml"
_SOUND = "sound.flac"


@dataclass(frozen=True)
class Header:
    """The first line of a take's log.

    id: the name of the take's folder when it was made.
    started: when the take began, with its time zone.
    procedure, revision: what was rehearsed.
    tool: the version of rehearse that wrote the take.
    help: the level of help the trainee chose, in the coach's words.
    source: where the sound came from.
    sound: whether sound was to be kept.
    notice: what a take is not, as it stood when the take was written.
    procedure_sha256: `rehearse.book.seal.checksum` of the procedure; "" in takes of versions that
        wrote none.
    """

    id: str
    started: datetime
    procedure: str
    revision: int
    tool: str
    help: str
    source: SourceKind
    sound: bool
    notice: str = NOTICE
    procedure_sha256: str = ""


class TakeWriter:
    """A take being written, each event and block of sound as it happens.

    An event is on the disk when `write` returns, the sound within about a second, so a killed
    program loses nothing that was finished. `write` and `write_sound` may be called from
    different threads. Use it as a context manager, or call `close`.
    """

    def __init__(self, folder: Path, log_file: log.Log, sound: flac.FlacWriter | None) -> None:
        self.folder = folder
        self._log = log_file
        self._sound = sound
        self._lock = threading.Lock()

    @classmethod
    def create(
        cls,
        folder: Path,
        procedure: Procedure,
        *,
        started: datetime,
        help_level: str,
        source: SourceKind,
        keep_sound: bool = True,
    ) -> Self:
        """Begin a take in a new folder inside `folder`, which is made when there is none.

        Raises:
            StoreError: the procedure was not read from a file, that file has gone or changed
                since, or the folder cannot be written.
        """
        text = _file_of(procedure)
        inside = place.new_folder(folder, started, procedure.id)
        header = Header(
            inside.name,
            started.astimezone(UTC),
            procedure.id,
            procedure.revision.number,
            __version__,
            help_level,
            source,
            keep_sound,
            procedure_sha256=checksum(procedure),
        )
        try:
            place.write_private(inside / _PROCEDURE, text)
            _copy_beside(procedure, LEXICON, inside)
            if used(text.decode(errors="replace")):
                _copy_beside(procedure, AIRCRAFT, inside)
            _same_procedure(inside / _PROCEDURE, procedure)
            log_file = log.Log(inside / _LOG)
            log_file.append(row_of(asdict(header), FORMAT))
            sound = flac.FlacWriter(inside / _SOUND) if keep_sound else None
        except RehearseError:
            # Nothing happened in this take yet, so the folder may go.
            shutil.rmtree(inside, ignore_errors=True)
            raise
        place.keep_entries(inside)
        return cls(inside, log_file, sound)

    def write(self, event: Event) -> None:
        """Add one event to the log.

        Raises:
            StoreError: it could not be written; everything before it is kept, and later events
                may still be written once the cause is gone.
        """
        with self._lock:
            self._log.append(events.to_json(event))

    def write_sound(self, samples: Sound) -> None:
        """Append mono float32 sound at 16 kHz; without effect when no sound is kept.

        Raises:
            StoreError: it could not be written; what was kept stays readable, but no more sound
                can be added to this take.
        """
        if self._sound is not None:
            self._sound.write(samples)

    def close(self) -> None:
        """Finish the files. Doing it twice does no harm.

        Raises:
            StoreError: the end of the sound could not be written.
        """
        self._log.close()
        if self._sound is not None:
            self._sound.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


@dataclass(frozen=True)
class Take:
    """A take as it lies on the disk.

    events: what happened, in the order it was written.
    unknown: how many events a newer tool wrote that this one does not know.
    torn: the last line was cut short, because the writer was killed or the disk was full.
    """

    folder: Path
    header: Header
    events: tuple[Event, ...]
    unknown: int
    torn: bool

    @classmethod
    def open(cls, folder: Path) -> Self:
        """Read a take's log; the sound is read only when asked for.

        Raises:
            StoreError: this is no take, a newer tool wrote it in a way this one cannot read, or
                its log was changed afterwards.
        """
        path = folder / _LOG
        content = log.read_rows(path)
        if not content.rows:
            raise StoreError(f"{path}:1: the header is missing; nothing of this take was written")
        header = header_in(path, content.rows[0][1], FORMAT, _header)
        rows = content.rows[1:]
        found = log.read_events(path, rows)
        return cls(folder, header, found, len(rows) - len(found), content.torn)

    @property
    def log_path(self) -> Path:
        """The log."""
        return self.folder / _LOG

    @property
    def procedure_path(self) -> Path:
        """The procedure file as it was when the take was made."""
        return self.folder / _PROCEDURE

    @property
    def sound_path(self) -> Path | None:
        """The recording, or None when none was kept or it has been deleted since."""
        path = self.folder / _SOUND
        return path if path.exists() else None

    @cached_property
    def procedure(self) -> Procedure:
        """The procedure as it was when the take was made.

        Raises:
            StoreError: the file is gone, or is not the procedure the header names.
            BookError: this version cannot read the file.
        """
        if not self.procedure_path.exists():
            raise StoreError(f"{self.procedure_path}: missing; restore it from a copy")
        procedure = reader.read(self.procedure_path)
        header = self.header
        same = (procedure.id, procedure.revision.number) == (header.procedure, header.revision)
        if not same or header.procedure_sha256 not in {"", checksum(procedure)}:
            raise StoreError(
                f"{self.procedure_path}: this is not {self.header.procedure} revision "
                f"{self.header.revision}, which the take was of; restore it from a copy"
            )
        return procedure

    def sound(self) -> Iterator[Sound]:
        """The sound in short pieces, mono float32 at 16 kHz; nothing when there is none.

        Raises:
            StoreError: the file is damaged; all that can be read comes first.
        """
        if self.sound_path is not None:
            yield from flac.read(self.sound_path)


def _file_of(procedure: Procedure) -> bytes:
    if procedure.path is None:
        raise StoreError(f"{procedure.id}: not read from a file, so no take of it can be kept")
    try:
        return procedure.path.read_bytes()
    except OSError as error:
        raise StoreError(
            f"{procedure.path}: cannot be read any more ({error.strerror}); put the file back"
        ) from error


def _copy_beside(procedure: Procedure, name: str, folder: Path) -> None:
    """Keep what lies beside the procedure, so that the take is read and judged alike later."""
    beside = procedure.path.parent / name if procedure.path is not None else None
    if beside is None or not beside.exists():
        return
    try:
        content = beside.read_bytes()
    except OSError as error:
        raise StoreError(f"{beside}: cannot be read ({error.strerror}); check the file") from error
    place.write_private(folder / name, content)


def _same_procedure(copy: Path, procedure: Procedure) -> None:
    """Raise StoreError when the file was edited between reading it and copying it."""
    if reader.read(copy) != procedure:
        raise StoreError(f"{procedure.path}: changed since it was read; start the take again")


def _header(row: Mapping[str, Any]) -> Header:
    return Header(
        id=str(row["take"]),
        started=datetime.fromisoformat(row["started"]),
        procedure=str(row["procedure"]),
        revision=int(row["revision"]),
        tool=str(row["tool"]),
        help=str(row["help"]),
        source=row["source"],
        sound=bool(row["sound"]),
        notice=str(row["notice"]),
        procedure_sha256=str(row.get("procedure_sha256", "")),
    )
