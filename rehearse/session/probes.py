"""The real ways to ask this machine what it has: its devices, libraries, files and voice.

Each may fail with a `RehearseError`, one line with its mend; the doctor reads what they return.
"""

from __future__ import annotations

import ctypes
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from rehearse.book.shelf import stock
from rehearse.errors import SoundError
from rehearse.hear.microphone import Microphone
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Chunk
from rehearse.hear.vosk import Vosk
from rehearse.measured import Measured
from rehearse.record.place import takes_folder
from rehearse.room.values import Profile
from rehearse.session import delay, profiles
from rehearse.session.profiles import Device
from rehearse.speak.cache import Cache
from rehearse.speak.voice import Voice
from rehearse.weights.store import verified
from rehearse.weights.vosk_models import Added, added_models

PATIENCE_SECONDS = 20.0  # a probe that takes longer will not answer


@dataclass(frozen=True)
class SystemLibrary:
    """A shared library that pip cannot bring, and the Debian package that does."""

    file: str
    package: str
    use: str


LIBRARIES = (
    SystemLibrary("libportaudio.so.2", "libportaudio2", "opens the microphone and loudspeaker"),
    SystemLibrary("libespeak-ng.so.1", "libespeak-ng1", "speaks"),
)


def listen(seconds: float, microphone: Device = None) -> tuple[Chunk, ...]:
    """Sound from a microphone. Raises SoundError when it is not there or fails."""
    chunks: list[Chunk] = []
    with closing(Microphone(microphone).chunks()) as source:
        for chunk in source:
            chunks.append(chunk)
            if chunk.time + len(chunk.samples) / RATE >= seconds:
                break
    return tuple(chunks)


def find_loudspeaker(loudspeaker: Device = None) -> str:
    """The name of an output device. Raises SoundError when it is not there."""
    try:
        import sounddevice
    except OSError as error:
        raise SoundError(
            "the PortAudio library is missing; install it ('apt-get install libportaudio2')"
        ) from error
    try:
        name: str = sounddevice.query_devices(loudspeaker, "output")["name"]
        sounddevice.check_output_settings(loudspeaker)
    except (sounddevice.PortAudioError, ValueError) as error:
        raise SoundError(
            "no loudspeaker found: prompts are shown, not spoken; connect one and choose it in "
            "the system's sound settings"
        ) from error
    return name


def render_voice(text: str) -> float:
    """Seconds of speech the text was rendered to. Raises VoiceError when there is no voice."""
    # Kept nowhere: a sound from the cache would say nothing about the speech engine of today.
    with tempfile.TemporaryDirectory(prefix="rehearse-") as folder:
        voice = Voice(cache=Cache(Path(folder)))
        with closing(voice):
            return voice.render(text).seconds


def find_room(microphone: Device = None, loudspeaker: Device = None) -> Room:
    """What was measured of two devices. Raises RehearseError: no microphone, a damaged file."""
    names = profiles.names(microphone, loudspeaker)
    return Room(names, profiles.kept(*names), delay.kept(*names))


def loads(library: SystemLibrary) -> bool:
    """Whether the system's loader finds the library."""
    try:
        ctypes.CDLL(library.file)
    except OSError:
        return False
    return True


def free_bytes(folder: Path) -> int:
    """Space left where the folder is, or will be made."""
    return shutil.disk_usage(_nearest(folder)).free


def try_writing(folder: Path) -> None:
    """Write a file without a name where the folder is, or will be made. Raises OSError."""
    with tempfile.TemporaryFile(dir=_nearest(folder)) as file:
        file.write(b"rehearse")


@dataclass(frozen=True)
class Room:
    """The present devices by name, with their profile and latency as far as they were measured."""

    devices: tuple[str, str]
    profile: Profile | None = None
    latency: Measured | None = None


def words_lacking(model: Added) -> tuple[str, ...]:
    """Words of the procedures that are found which an added model does not know.

    Raises:
        ModelError: the model cannot be loaded.
    """
    texts = [
        text
        for procedure in stock().procedures
        if procedure.language == model.language
        for step in procedure.steps
        for text in (*step.wordings, *step.never)
    ]
    if not texts:
        return ()
    vocabulary = Vosk(model.folder, model.language).vocabulary
    return tuple(dict.fromkeys(word for text in texts for word in vocabulary.lacking(text)))


@dataclass(frozen=True)
class Probes:
    """How to ask the machine; each may raise a RehearseError, which becomes its finding."""

    python: tuple[int, int, int] = field(default=sys.version_info[:3])
    loads: Callable[[SystemLibrary], bool] = loads
    verified: Callable[[str], Path] = verified
    added: Callable[[], Iterable[Added]] = added_models
    words_lacking: Callable[[Added], tuple[str, ...]] = words_lacking
    listen: Callable[[float], Iterable[Chunk]] = listen
    find_loudspeaker: Callable[[], str] = find_loudspeaker
    find_room: Callable[[], Room] = find_room
    render_voice: Callable[[str], float] = render_voice
    takes: Path = field(default_factory=takes_folder)
    try_writing: Callable[[Path], None] = try_writing
    free_bytes: Callable[[Path], int] = free_bytes
    patience: float = PATIENCE_SECONDS


def probes_of(microphone: Device, loudspeaker: Device) -> Probes:
    """The real probes of two devices; None for the system's default."""
    return Probes(
        listen=partial(listen, microphone=microphone),
        find_loudspeaker=partial(find_loudspeaker, loudspeaker),
        find_room=partial(find_room, microphone, loudspeaker),
    )


def _nearest(folder: Path) -> Path:
    """The folder itself, or the nearest one above it that exists."""
    return next(place for place in (folder, *folder.parents) if place.exists())
