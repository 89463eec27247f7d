"""Hours of hearing: takes follow each other until enough was heard, with a figure now and then."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pytest

from rehearse.bench import soak
from rehearse.cli import main
from rehearse.errors import SoundError
from rehearse.events import Word
from rehearse.hear.recogniser import RATE, Expectation, Sound, Transcript
from rehearse.session.bench import example_sounds


class Nothing:
    """A recogniser that understands nothing. sounds: what it was given."""

    name = "nothing"

    def __init__(self) -> None:
        self.sounds: list[bytes] = []
        self.expected: set[tuple[str, ...]] = set()

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """Nothing."""
        self.sounds.append(sound.tobytes())
        return ()

    def support(self, _sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """Nothing fits."""
        return (-100.0,) * len(texts)

    def align(self, _sound: Sound, _text: str) -> tuple[Word, ...]:
        """No words."""
        return ()

    def evidence(self, _sound: Sound, _text: str) -> float:
        """None."""
        return -10.0

    def partial(self, _sound: Sound, expectation: Expectation) -> str:
        """Nothing; what was expected is noted."""
        self.expected.add(expectation.wordings)
        return ""


def test_takes_follow_each_other_and_none_is_heard_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """A figure every few minutes of sound and at the end; every take sounds different."""
    recogniser = Nothing()
    said = np.concatenate(example_sounds())[: 6 * RATE]
    monkeypatch.setattr(soak, "load_recogniser", lambda _language: recogniser)
    monkeypatch.setattr(soak, "example_sounds", lambda: [said])
    monkeypatch.setattr(soak, "EVERY", 10.0)
    *figures, last = soak.lines(29 / 3600)
    takes = re.findall(r"^\d+ minutes of sound, (\d+) takes: \d+ MB$", "\n".join(figures), re.M)
    assert takes == ["2", "4", "5"]
    assert len(figures) == 3
    assert re.match(r"from the first figure to the last [+-]\d+ MB, at most \d+ MB", last)
    assert len(recogniser.sounds) >= 5
    assert len(set(recogniser.sounds)) == len(recogniser.sounds)


def test_what_breaks_a_take_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A failure of hearing is no endless silence."""
    recogniser = Nothing()
    monkeypatch.setattr(soak, "load_recogniser", lambda _language: recogniser)
    monkeypatch.setattr(soak, "example_sounds", lambda: [np.zeros(RATE, np.float32)])

    def broken(_self: object) -> None:
        raise SoundError("a recording: broken; copy it again")

    monkeypatch.setattr(soak._Varied, "chunks", broken)
    with pytest.raises(SoundError, match="broken"):
        list(soak.lines(1.0))


@pytest.mark.parametrize("hours", ["0", "-1", "25", "nan", "two"])
def test_hours_out_of_range_are_refused(hours: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One line says what is possible."""
    with pytest.raises(SystemExit):
        main(["bench", "soak", "--hours", hours])
    assert "is no number of hours up to 24" in capsys.readouterr().err
