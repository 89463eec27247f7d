from __future__ import annotations

import os
import resource
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.recording import Recording


def _tone(rate: int, seconds: float, channels: int = 1) -> Sound:
    times = np.arange(int(rate * seconds)) / rate
    wave = (0.3 * np.sin(2 * np.pi * 440 * times)).astype(np.float32)
    return np.repeat(wave[:, None], channels, axis=1) if channels > 1 else wave


def _read(path: Path) -> Sound:
    return np.concatenate([chunk.samples for chunk in Recording(path).chunks()])


@pytest.mark.parametrize("rate", [8000, 11025, 16000, 22050, 44100, 48000, 96000])
@pytest.mark.parametrize("channels", [1, 2, 6])
def test_any_rate_and_channels_become_the_same_mono_sound(
    tmp_path: Path, rate: int, channels: int
) -> None:
    """A tone keeps its length, pitch and loudness whatever it was recorded with."""
    path = tmp_path / "tone.wav"
    soundfile.write(path, _tone(rate, 2.0, channels), rate)
    sound = _read(path)
    assert sound.dtype == np.float32
    assert abs(sound.size - 2 * RATE) <= 2
    spectrum = np.abs(np.fft.rfft(sound))
    assert abs(int(spectrum.argmax()) / 2.0 - 440) <= 1
    assert np.sqrt(np.mean(sound**2)) == pytest.approx(0.3 / np.sqrt(2), rel=0.02)


@pytest.mark.parametrize(
    ("name", "subtype"),
    [("a.wav", "PCM_U8"), ("a.wav", "PCM_24"), ("a.wav", "DOUBLE"), ("a.flac", "PCM_16"),
     ("a.ogg", "VORBIS"), ("a.aiff", "PCM_16")],
)  # fmt: skip
def test_formats_and_widths_are_read(tmp_path: Path, name: str, subtype: str) -> None:
    """Eight bits to double precision, and compressed formats, hold the same tone."""
    path = tmp_path / name
    soundfile.write(path, _tone(16000, 1.0), 16000, subtype=subtype)
    assert np.sqrt(np.mean(_read(path)[:15000] ** 2)) == pytest.approx(0.21, abs=0.02)


def test_chunks_follow_each_other_by_the_sample_clock(tmp_path: Path) -> None:
    """Each chunk begins where the one before it ended."""
    path = tmp_path / "tone.wav"
    soundfile.write(path, _tone(44100, 3.3), 44100)
    at = 0
    for chunk in Recording(path).chunks():
        assert chunk.time == at / RATE
        assert chunk.lost is None
        at += chunk.samples.size
    assert abs(at - 3.3 * RATE) <= 2


def _refused(path: Path) -> str:
    with pytest.raises(SoundError) as caught:
        _read(path)
    line = str(caught.value)
    assert line.startswith(str(path))
    assert "\n" not in line
    assert ";" in line, "the line names a mend"
    return line


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    """A path that leads nowhere is one line with a mend."""
    assert "no such file" in _refused(tmp_path / "gone.wav")


def test_a_folder_is_no_recording(tmp_path: Path) -> None:
    """A folder in place of a file is told apart from a broken file."""
    assert "folder" in _refused(tmp_path)


def test_text_named_wav_is_no_sound(tmp_path: Path) -> None:
    """The name of a file does not make it sound."""
    path = tmp_path / "notes.wav"
    path.write_text("Open the flap and pull the spring pin\n")
    assert "not a sound file" in _refused(path)


def test_headerless_sound_is_refused(tmp_path: Path) -> None:
    """Raw samples without a header have no rate and cannot be read."""
    path = tmp_path / "samples.raw"
    path.write_bytes(bytes(64000))
    assert "not a sound file" in _refused(path)


@pytest.mark.parametrize("with_header", [True, False])
def test_an_empty_file_is_named(tmp_path: Path, with_header: bool) -> None:
    """No bytes, or a header without a sample, are both called empty."""
    path = tmp_path / "empty.wav"
    path.touch()
    if with_header:
        soundfile.write(path, np.zeros(0, np.float32), 16000)
    assert "empty" in _refused(path)


def test_a_file_without_permission_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that may not be read says so."""
    path = tmp_path / "secret.wav"
    soundfile.write(path, _tone(16000, 1.0), 16000)

    def refuse(*_arguments: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "Permission denied" in _refused(path)


@pytest.mark.parametrize("name", ["take.flac", "take.wav"])
def test_a_truncated_file_names_the_second_it_breaks(tmp_path: Path, name: str) -> None:
    """Half of a recording is refused: what is missing would be marked as not said."""
    path = tmp_path / name
    noise = np.random.default_rng(0).normal(0, 0.1, 20 * 16000).astype(np.float32)
    soundfile.write(path, noise, 16000)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    line = _refused(path)
    assert "breaks off at" in line
    second = float(line.split("breaks off at ")[1].split(" s")[0])
    assert 9.0 <= second <= 10.1


def test_a_recording_whose_writer_was_killed_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    """A FLAC that was never closed states no length; all that was written is heard."""
    path = tmp_path / "killed.flac"
    noise = np.random.default_rng(0).normal(0, 0.1, 10 * 16000).astype(np.float32)
    writer = os.fork()
    if writer == 0:
        file = soundfile.SoundFile(path, "w", 16000, 1)
        file.write(noise)
        file.flush()
        os.kill(os.getpid(), 9)
    os.waitpid(writer, 0)
    assert Recording(path).seconds is None
    sound = _read(path)
    assert sound.size > 9.0 * RATE
    assert np.allclose(sound, noise[: sound.size], atol=1e-3)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_samples_that_are_no_numbers_are_named(tmp_path: Path, value: float) -> None:
    """The first sample that is not a number is named by its time."""
    path = tmp_path / "broken.wav"
    sound = _tone(16000, 3.0)
    sound[32000:32010] = value
    soundfile.write(path, sound, 16000, subtype="FLOAT")
    assert "2.000 s is not a number" in _refused(path)


def test_samples_in_another_unit_are_named(tmp_path: Path) -> None:
    """Float samples that run to 32767 are no sound in -1..1."""
    path = tmp_path / "loud.wav"
    soundfile.write(path, _tone(16000, 1.0) * 32767, 16000, subtype="FLOAT")
    assert "times full scale" in _refused(path)


def test_two_hours_are_streamed_in_bounded_memory(tmp_path: Path) -> None:
    """A long stereo file takes no more memory than a short one."""
    path = tmp_path / "long.wav"
    block = np.zeros((8000, 2), np.int16)
    with soundfile.SoundFile(path, "w", 8000, 2) as file:
        for _ in range(7200):
            file.write(block)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    total = sum(chunk.samples.size for chunk in Recording(path).chunks())
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert abs(total - 7200 * RATE) < RATE
    assert grown < 64 * 1024, "kibibytes"
