from __future__ import annotations

import errno
import json
import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse import __version__
from rehearse.book import reader
from rehearse.book.model import Procedure
from rehearse.book.seal import checksum
from rehearse.book.shelf import files
from rehearse.errors import StoreError
from rehearse.events import Event, Heard, Listening, Partial
from rehearse.hear.recogniser import RATE, Sound
from rehearse.record.take import Take, TakeWriter, takes_folder
from rehearse.safety import NOTICE

STARTED = datetime(2026, 10, 1, 10, 15, 0, 250_000, tzinfo=UTC)


def begin(folder: Path, procedure: Procedure, keep_sound: bool = True) -> TakeWriter:
    """A take begun at a fixed time."""
    return TakeWriter.create(
        folder,
        procedure,
        started=STARTED,
        help_level="steady",
        source="microphone",
        keep_sound=keep_sound,
    )


def lines(folder: Path) -> list[bytes]:
    """The lines of a take's log."""
    return (folder / "take.jsonl").read_bytes().splitlines()


def test_round_trip(
    tmp_path: Path, procedure: Procedure, events: tuple[Event, ...], speechlike: Sound
) -> None:
    """Every event and every sample comes back as it was written."""
    with begin(tmp_path / "takes", procedure) as writer:
        for event in events:
            writer.write(event)
        for piece in np.array_split(speechlike, 33):
            writer.write_sound(piece)
    take = Take.open(writer.folder)
    assert take.events == events
    assert (take.unknown, take.torn) == (0, False)
    back = np.concatenate(list(take.sound()))
    assert len(back) == len(speechlike)
    assert np.abs(back - speechlike).max() < 1 / 16384


def test_header(tmp_path: Path, procedure: Procedure) -> None:
    """The first line says what was rehearsed, when, how and with which tool, and the notice."""
    with begin(tmp_path, procedure) as writer:
        pass
    assert json.loads(lines(writer.folder)[0]) == {
        "format": 1,
        "take": "2026-10-01-101500-arm-door-2l",
        "started": "2026-10-01T10:15:00.250+00:00",
        "procedure": "arm-door-2l",
        "revision": 3,
        "tool": __version__,
        "help": "steady",
        "source": "microphone",
        "sound": True,
        "notice": NOTICE,
        "procedure_sha256": checksum(procedure),
    }
    header = Take.open(writer.folder).header
    assert (header.started, header.id) == (STARTED, writer.folder.name)


def test_procedure_bytes(tmp_path: Path, procedure: Procedure, procedure_file: Path) -> None:
    """The take keeps the procedure's very bytes, whatever happens to the file afterwards."""
    before = procedure_file.read_bytes()
    with begin(tmp_path, procedure) as writer:
        pass
    procedure_file.write_text("changed", encoding="utf-8")
    take = Take.open(writer.folder)
    assert take.procedure_path.read_bytes() == before
    assert take.procedure == procedure


def test_procedure_edited_meanwhile(
    tmp_path: Path, procedure: Procedure, procedure_file: Path
) -> None:
    """A file that was edited after it was read is not taken for what was rehearsed."""
    text = procedure_file.read_text(encoding="utf-8")
    procedure_file.write_text(text.replace("to armed", "to ARMED"), encoding="utf-8")
    with pytest.raises(StoreError, match="changed since it was read"):
        begin(tmp_path / "takes", procedure)
    assert list((tmp_path / "takes").iterdir()) == []


def test_procedure_swapped(tmp_path: Path, procedure: Procedure) -> None:
    """A take whose procedure was replaced by another revision is not judged by that one."""
    with begin(tmp_path, procedure) as writer:
        pass
    copy = writer.folder / "procedure.yaml"
    copy.write_text(
        copy.read_text(encoding="utf-8").replace("number: 3", "number: 4"), encoding="utf-8"
    )
    with pytest.raises(StoreError, match="not arm-door-2l revision 3"):
        _ = Take.open(writer.folder).procedure


def test_folders_never_clash(tmp_path: Path, procedure: Procedure) -> None:
    """Takes begun in the same instant go to folders of their own."""
    writers = [begin(tmp_path / "takes", procedure) for _ in range(12)]
    for writer in writers:
        writer.close()
    assert len({writer.folder for writer in writers}) == 12
    assert all(Take.open(w.folder).header.id == w.folder.name for w in writers)


def test_owner_only(tmp_path: Path, procedure: Procedure, speechlike: Sound) -> None:
    """Nobody but the owner can read a take, even where the system's default is generous."""
    old = os.umask(0)
    try:
        with begin(tmp_path / "takes", procedure) as writer:
            writer.write_sound(speechlike)
    finally:
        os.umask(old)
    assert stat.S_IMODE(writer.folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(writer.folder.parent.stat().st_mode) == 0o700
    modes = {p.name: stat.S_IMODE(p.stat().st_mode) for p in writer.folder.iterdir()}
    assert modes == {"take.jsonl": 0o600, "procedure.yaml": 0o600, "sound.flac": 0o600}


def test_without_sound(tmp_path: Path, procedure: Procedure, speechlike: Sound) -> None:
    """When no sound is to be kept, none is, and the take says so."""
    with begin(tmp_path, procedure, keep_sound=False) as writer:
        writer.write_sound(speechlike)
        writer.write(Listening(0.0))
    assert not list(writer.folder.glob("*.flac"))
    take = Take.open(writer.folder)
    assert take.header.sound is False
    assert take.sound_path is None
    assert list(take.sound()) == []


def test_default_place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Takes are kept in the user's own data folder unless another is named."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert takes_folder().parts[-2:] == ("rehearse", "takes")


def test_torn_last_line_at_every_byte(
    tmp_path: Path, procedure: Procedure, events: tuple[Event, ...]
) -> None:
    """A log cut off anywhere in its last line opens with everything before that line."""
    with begin(tmp_path, procedure) as writer:
        for event in events[:5]:
            writer.write(event)
        writer.write(Heard(6.0, 9.0, "Türe zwei links ist scharf ✓"))
    log = writer.folder / "take.jsonl"
    whole = log.read_bytes()
    last = whole.rstrip(b"\n").rfind(b"\n") + 1
    for cut in range(last, len(whole) - 1):
        log.write_bytes(whole[:cut])
        take = Take.open(writer.folder)
        assert take.events == events[:5]
        assert take.torn is (cut > last)
    log.write_bytes(whole[:-1])
    assert len(Take.open(writer.folder).events) == 6


def test_missing_header(tmp_path: Path, procedure: Procedure) -> None:
    """A log without its header is refused, whether it is empty or starts with an event."""
    with begin(tmp_path, procedure) as writer:
        writer.write(Listening(0.0))
        writer.write(Partial(1.0, "door"))
    log = writer.folder / "take.jsonl"
    whole = log.read_bytes()
    for content in (b"", whole[:20], whole[whole.index(b"\n") + 1 :]):
        log.write_bytes(content)
        with pytest.raises(StoreError, match=r"take\.jsonl:1: the header is missing"):
            Take.open(writer.folder)


def test_not_a_take(tmp_path: Path) -> None:
    """A folder that holds no take is named in one line."""
    with pytest.raises(StoreError, match="is this a take") as caught:
        Take.open(tmp_path)
    assert "\n" not in str(caught.value)


def test_newer_events_are_counted(tmp_path: Path, procedure: Procedure) -> None:
    """Events of a kind that only a newer tool knows are passed over and counted."""
    with begin(tmp_path, procedure) as writer:
        writer.write(Listening(0.0))
    with (writer.folder / "take.jsonl").open("a", encoding="utf-8") as log:
        log.write('{"event": "Overruled", "time": 3.0}\n')
        log.write('{"event": "Partial", "time": 4.0, "text": "door", "mood": "calm"}\n')
    take = Take.open(writer.folder)
    assert take.events == (Listening(0.0), Partial(4.0, "door"))
    assert take.unknown == 1


def test_newer_format(tmp_path: Path, procedure: Procedure) -> None:
    """A take in a format of the future asks for an update instead of being misread."""
    with begin(tmp_path, procedure) as writer:
        pass
    log = writer.folder / "take.jsonl"
    log.write_text(log.read_text().replace('"format": 1', '"format": 2'))
    with pytest.raises(StoreError, match="update rehearse"):
        Take.open(writer.folder)


@pytest.mark.parametrize(
    "line",
    [
        "{half",
        "[1, 2]",
        '{"event": "Heard", "start": 1.0}',
        '{"event": "Listening", "time": "soon"}',
        '{"event": "Listening", "time": NaN}',
        '{"event": "Heard", "start": 1.0, "end": 2.0, "text": ["a"]}',
        '{"event": "Heard", "start": 1.0, "end": 2.0, "text": "a", "words": [3]}',
        '{"event": "Heard", "start": 1.0, "end": 2.0, "text": "a", "words": 3}',
    ],
)
def test_spoilt_line(tmp_path: Path, procedure: Procedure, line: str) -> None:
    """A line in the middle that is no event is named by file and line, in one line."""
    with begin(tmp_path, procedure) as writer:
        writer.write(Listening(0.0))
    with (writer.folder / "take.jsonl").open("a", encoding="utf-8") as log:
        log.write(f'{line}\n{{"event": "Partial", "time": 4.0, "text": "door"}}\n')
    with pytest.raises(StoreError, match=r"take\.jsonl:3: ") as caught:
        Take.open(writer.folder)
    assert "\n" not in str(caught.value)


@given(text=st.text(max_size=80), times=st.tuples(st.floats(0, 1e5), st.floats(0, 1e5)))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_comes_back(
    tmp_path: Path, procedure: Procedure, text: str, times: tuple[float, float]
) -> None:
    """Whatever characters were heard, the log gives back the same event on one line."""
    with begin(tmp_path / "takes", procedure, keep_sound=False) as writer:
        writer.write(Heard(*times, text))
    assert len(lines(writer.folder)) == 2
    assert Take.open(writer.folder).events == (Heard(*times, text),)


def test_numpy_numbers(tmp_path: Path, procedure: Procedure) -> None:
    """A time that numpy computed is written as the number it is."""
    with begin(tmp_path, procedure) as writer:
        writer.write(Listening(np.float32(1.5)))  # type: ignore[arg-type]
    assert Take.open(writer.folder).events == (Listening(1.5),)


def test_folder_in_the_way(tmp_path: Path, procedure: Procedure) -> None:
    """A file where the folder of takes should be is reported in one line and left alone."""
    blocker = tmp_path / "takes"
    blocker.write_text("mine", encoding="utf-8")
    with pytest.raises(StoreError, match="a file is in the way"):
        begin(blocker, procedure)
    assert blocker.read_text(encoding="utf-8") == "mine"


def test_unwritable_folder(
    tmp_path: Path, procedure: Procedure, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that may not be written is reported in one line that says what to do."""

    def refuse(self: Path, mode: int = 0o777) -> None:  # noqa: ARG001
        raise PermissionError(errno.EACCES, "Permission denied", str(self))

    monkeypatch.setattr(Path, "mkdir", refuse)  # root may write anywhere, so chmod proves nothing
    with pytest.raises(StoreError, match="not writable; choose another folder") as caught:
        begin(tmp_path, procedure)
    assert "\n" not in str(caught.value)


def test_full_disk_and_room_again(
    tmp_path: Path, procedure: Procedure, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the disk fills in the middle of a line, the log stays whole and can go on later."""
    with begin(tmp_path, procedure, keep_sound=False) as writer:
        writer.write(Listening(0.0))
        real = os.pwrite

        def half_then_full(file: int, content: bytes, at: int) -> int:
            if len(content) > 20:
                return real(file, content[:20], at)
            raise OSError(errno.ENOSPC, "No space left on device")

        with monkeypatch.context() as full:
            full.setattr(os, "pwrite", half_then_full)
            with pytest.raises(StoreError, match=r"take\.jsonl: the disk is full; free some"):
                writer.write(Partial(1.0, "x" * 13))
        assert Take.open(writer.folder).events == (Listening(0.0),)
        assert not Take.open(writer.folder).torn
        writer.write(Partial(2.0, "door"))
    assert Take.open(writer.folder).events == (Listening(0.0), Partial(2.0, "door"))


def test_nothing_left_of_a_take_that_could_not_begin(
    tmp_path: Path, procedure: Procedure, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A take whose sound file cannot be opened leaves no empty folder behind."""

    def fail(*_args: object, **_named: object) -> None:
        raise soundfile.LibsndfileError(1)

    monkeypatch.setattr(soundfile, "SoundFile", fail)
    with pytest.raises(StoreError):
        begin(tmp_path / "takes", procedure)
    assert list((tmp_path / "takes").iterdir()) == []


def test_shipped_procedures(tmp_path: Path) -> None:
    """A take can be kept of every procedure that ships with the project."""
    shelf = Path(__file__).parents[2] / "procedures"
    found = list(files(shelf))
    assert found
    for path in found:
        procedure = reader.read(path)
        with begin(tmp_path, procedure) as writer:
            pass
        assert Take.open(writer.folder).procedure == procedure


def test_reading_while_writing(tmp_path: Path, procedure: Procedure, speechlike: Sound) -> None:
    """A take can be opened while it is still being written, the sound to the last full frame."""
    with begin(tmp_path, procedure) as writer:
        writer.write(Listening(0.0))
        writer.write_sound(speechlike)
        take = Take.open(writer.folder)
        got = sum(len(piece) for piece in take.sound())
        assert take.events == (Listening(0.0),)
        assert len(speechlike) - 0.3 * RATE <= got <= len(speechlike)
