"""What this machine has for hearing, judging and speaking, and how to mend what it lacks.

`examine` asks every probe and returns findings in reading order. The probes are the edges (see
`rehearse.session.probes`) and can be replaced; the `about_...` functions only turn what a probe
says into a sentence. A probe that does not answer becomes a finding too: nothing here hangs.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt

from rehearse.errors import RehearseError, SoundError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk
from rehearse.room.advice import advice
from rehearse.room.telling import line
from rehearse.session.probes import LIBRARIES, Probes, Room, SystemLibrary, listen
from rehearse.weights.store import known_models
from rehearse.weights.vosk_models import Added

LISTEN_SECONDS = 1.5
_FRAME = RATE * 30 // 1000
_FULL_SCALE = 0.999
_CLIPPED = 0.0001  # share of samples at full scale: a single tick of the device is less
_DIGITAL_SILENCE = -90.0  # dB re full scale: under the last bit of 16-bit sound
_NOTHING = -200.0  # dB: stands for no sound at all
_LOUD_ROOM = -40.0  # a raised voice at arm's length is near -25: this leaves 15 dB for words
_ROOMY = 1_000_000_000  # bytes: eight hours of sound kept as FLAC
_NAMED = 6  # unknown words that are named in a sentence
_CRAMPED = 50_000_000  # bytes: half an hour of it
# In place of mends that send a person here.
_MENDS = {
    "microphone": (
        "plug a microphone in, choose it in the system's sound settings and close other programs "
        "that use it; with PulseAudio or PipeWire, install libasound2-plugins"
    ),
    "room": "mend the microphone first",
    "voice": "install it anew ('apt-get install --reinstall espeak-ng libespeak-ng1')",
}
_SENTENCE = "Door two left, armed and cross-checked."


class State(StrEnum):
    """How things stand: fine, usable with a loss the sentence names, or unusable."""

    GOOD = "good"
    ATTENTION = "attention"
    BROKEN = "broken"


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at: what was found and, unless it is good, how to mend it."""

    name: str
    state: State
    sentence: str
    mend: str = ""


def examine(
    probes: Probes | None = None, before: Callable[[str], None] = lambda _name: None
) -> list[Finding]:
    """Look at everything, in the order a person would mend it.

    Args:
        probes: how to ask the machine; the real one when left out.
        before: told the name of each thing just before it is looked at, to show progress.
    """
    ask = probes or Probes()
    findings: list[Finding] = []
    for name, look in _looks(ask):
        before(name)
        findings.append(_in_time(name, look, ask.patience))
    return findings


def has_microphone() -> bool:
    """Whether sound comes from the default microphone, whatever it sounds like."""
    try:
        return len(listen(0.2)) > 0
    except SoundError:
        return False


def _looks(ask: Probes) -> Iterable[tuple[str, Callable[[], Finding]]]:
    yield "Python", lambda: about_python(ask.python)
    for library in LIBRARIES:
        yield library.package, partial(_look_for_library, ask, library)
    for model in known_models():
        yield model, partial(_look_at_model, ask, model)
    for added in ask.added():
        yield added.folder.name, partial(_look_at_added, ask, added)
    yield "microphone", lambda: about_sound(tuple(ask.listen(LISTEN_SECONDS)))
    yield "loudspeaker", lambda: about_loudspeaker(ask.find_loudspeaker())
    yield "room", lambda: about_room(ask.find_room(), datetime.now(UTC))
    yield "voice", lambda: about_voice(ask.render_voice(_SENTENCE))
    yield "takes folder", lambda: about_takes(ask.takes, ask.try_writing)
    yield "disk space", lambda: about_space(ask.takes, ask.free_bytes(ask.takes))


def _look_for_library(ask: Probes, library: SystemLibrary) -> Finding:
    return about_library(library, ask.loads(library))


def _look_at_model(ask: Probes, model: str) -> Finding:
    return about_model(model, ask.verified(model))


def _look_at_added(ask: Probes, added: Added) -> Finding:
    return about_added(added, ask.words_lacking(added) if added.usable else ())


def about_python(version: tuple[int, int, int]) -> Finding:
    """The version, against the oldest one that is supported."""
    text = ".".join(map(str, version))
    if version >= (3, 11):
        return Finding("Python", State.GOOD, f"Python {text}")
    return Finding(
        "Python", State.BROKEN, f"Python {text} is too old", "install Python 3.11 or newer"
    )


def about_library(library: SystemLibrary, present: bool) -> Finding:
    """One library of the system, by the name of the package that brings it."""
    if present:
        return Finding(library.package, State.GOOD, f"{library.file} {library.use}")
    return Finding(
        library.package,
        State.BROKEN,
        f"{library.file}, which {library.use}, is not installed",
        f"install it ('apt-get install {library.package}')",
    )


def about_model(name: str, place: Path) -> Finding:
    """A model whose files have all been hashed."""
    return Finding(name, State.GOOD, f"complete and unaltered in {place}")


def about_added(added: Added, lacking: tuple[str, ...]) -> Finding:
    """A Vosk model that a user added, and the words of procedures that it does not know."""
    name = added.folder.name
    if not added.usable:
        fault = (
            f"lacks {', '.join(added.lacking)}" if added.lacking else "its name tells no language"
        )
        mend = "unpack it there again, as a folder named like vosk-en, or remove it"
        return Finding(name, State.ATTENTION, f"{fault}; it is not used", mend)
    sentence = f"hears '{added.language}', in {added.folder}"
    if not lacking:
        return Finding(name, State.GOOD, sentence)
    some = ", ".join(lacking[:_NAMED])
    more = f" and {len(lacking) - _NAMED} more" if len(lacking) > _NAMED else ""
    return Finding(
        name,
        State.ATTENTION,
        f"{sentence}; does not know {some}{more}",
        "use other words in the procedures; 'rehearse models words' names the steps",
    )


def about_sound(chunks: tuple[Chunk, ...]) -> Finding:
    """What a moment of the microphone says about its level, its room and its setting."""
    lost = sum(chunk.lost or 0.0 for chunk in chunks)
    sound = np.concatenate([chunk.samples for chunk in chunks] or [np.zeros(0, np.float32)])
    levels = _levels(sound)
    floor, loudest = np.percentile(levels, (10, 95))
    clipped = float(np.mean(np.abs(sound) >= _FULL_SCALE)) if sound.size else 0.0
    figures = f"room {-floor:.0f} dB, loudest {-loudest:.0f} dB below full scale"
    state, sentence, mend = State.ATTENTION, figures, ""
    if loudest < _DIGITAL_SILENCE:
        sentence = "delivers only silence"
        mend = "unmute it, or choose the right input in the system's sound settings"
    elif any(chunk.lost is not None for chunk in chunks):
        sentence = f"lost {lost:.2f} s while listening ({figures})"
        mend = "close programs that keep the machine busy"
    elif clipped > _CLIPPED:
        sentence = f"{clipped:.1%} of the sound is clipped ({figures})"
        mend = "lower the input level in the system's sound settings"
    elif floor > _LOUD_ROOM:
        sentence = f"the room is loud ({figures})"
        mend = "use a headset or a quieter place; expect to be asked to say things again"
    else:
        state = State.GOOD
    return Finding("microphone", state, sentence, mend)


def about_loudspeaker(name: str) -> Finding:
    """The output device that prompts are played on."""
    return Finding("loudspeaker", State.GOOD, f"'{name}' is there")


def about_room(room: Room, now: datetime) -> Finding:
    """What was measured in the room with the present devices, and how long ago."""
    if room.profile is None:
        devices = " and ".join(f"'{name}'" for name in room.devices if name)
        return Finding(
            "room",
            State.ATTENTION,
            f"not measured with {devices}",
            "measure it in half a minute: 'rehearse doctor --room'",
        )
    sentence = line(room.profile, room.latency, now)
    mends = [each.text for each in advice(room.profile) if each.grave]
    state = State.ATTENTION if mends else State.GOOD
    return Finding("room", state, sentence, " ".join(mends))


def about_voice(seconds: float) -> Finding:
    """A sentence that was rendered, not played."""
    return Finding("voice", State.GOOD, f"renders speech ({seconds:.1f} s for a short sentence)")


def about_takes(folder: Path, try_writing: Callable[[Path], None]) -> Finding:
    """Whether takes can be kept."""
    try:
        try_writing(folder)
    except OSError as error:
        return Finding(
            "takes folder",
            State.BROKEN,
            f"{folder} cannot be written ({error.strerror or error})",
            "change its permissions, or name another folder for takes",
        )
    return Finding("takes folder", State.GOOD, f"{folder} can be written")


def about_space(folder: Path, free: int) -> Finding:
    """The space that is left for takes."""
    sentence = f"{free / 1e9:.1f} GB free for {folder}"
    if free >= _ROOMY:
        return Finding("disk space", State.GOOD, sentence)
    state = State.ATTENTION if free >= _CRAMPED else State.BROKEN
    return Finding("disk space", state, sentence, "free some space; an hour of sound is 0.1 GB")


def _levels(sound: Sound) -> npt.NDArray[np.float64]:
    """Level of every 30 ms in dB re full scale, the device's constant offset taken out."""
    whole = len(sound) // _FRAME * _FRAME
    if not whole:
        return np.full(1, _NOTHING)
    frames = (sound[:whole] - np.mean(sound[:whole])).astype(np.float64).reshape(-1, _FRAME)
    power = np.mean(frames**2, axis=1)
    levels: npt.NDArray[np.float64] = 10 * np.log10(np.maximum(power, 10 ** (_NOTHING / 10)))
    return levels


def _in_time(name: str, look: Callable[[], Finding], patience: float) -> Finding:
    answer: list[Finding] = []

    def run() -> None:
        answer.append(_told(name, look))

    # A daemon: a driver that never returns must not keep the program from ending.
    thread = threading.Thread(target=run, daemon=True, name=f"doctor: {name}")
    thread.start()
    thread.join(patience)
    if answer:
        return answer[0]
    return Finding(
        name,
        State.BROKEN,
        f"did not answer within {patience:.0f} s",
        "restart the sound system or the machine, and look again",
    )


def _told(name: str, look: Callable[[], Finding]) -> Finding:
    try:
        return look()
    except RehearseError as error:
        fault, _, mend = str(error).partition("; ")
        circular = "rehearse doctor" in mend and name in _MENDS
        return Finding(name, State.BROKEN, fault, _MENDS[name] if circular else mend)
    except Exception as error:  # noqa: BLE001 - drivers and libraries fail in ways of their own
        return Finding(
            name,
            State.BROKEN,
            f"failed with {type(error).__name__}: {' '.join(str(error).split())}",
            "if a restart does not mend it, report this line",
        )
