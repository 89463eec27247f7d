"""Synthetic voices that say a text into a sound file, to try how well it is heard."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from rehearse.errors import VoiceError

_SECONDS = 30  # more than any step takes to be synthesised


@dataclass(frozen=True)
class SpeakingVoice:
    """A speech program and one of its voices."""

    program: str
    name: str

    def say(self, text: str, path: Path) -> None:
        """Write the spoken text to a WAV file.

        Raises:
            VoiceError: the program is gone, failed or hung.
        """
        written = path.with_suffix(".txt")
        written.write_text(text, "utf-8")
        orders = {
            "flite": ["flite", "-voice", self.name, "-f", str(written), "-o", str(path)],
            "espeak-ng": ["espeak-ng", "-v", self.name, "-w", str(path), "-f", str(written)],
            "festival": [
                "text2wave",
                "-eval",
                f"(voice_{self.name})",
                "-o",
                str(path),
                str(written),
            ],
        }
        try:
            subprocess.run(orders[self.program], check=True, capture_output=True, timeout=_SECONDS)
        except (OSError, subprocess.SubprocessError) as error:
            raise VoiceError(
                f"{self.program} cannot speak with the voice {self.name} ({error}); install it anew"
            ) from error

    def __str__(self) -> str:
        return f"{self.program} {self.name}"


_ENGLISH = (
    SpeakingVoice("flite", "slt"),
    SpeakingVoice("flite", "rms"),
    SpeakingVoice("espeak-ng", "en-gb"),
    SpeakingVoice("espeak-ng", "en-us+f3"),
)


def voices_for(language: str) -> tuple[SpeakingVoice, ...]:
    """The voices of a language whose program is installed.

    Raises:
        VoiceError: there are none.
    """
    others = tuple(SpeakingVoice("espeak-ng", language + kind) for kind in ("", "+f3", "+m3"))
    wanted: Sequence[SpeakingVoice] = _ENGLISH if language == "en" else others
    found = tuple(voice for voice in wanted if shutil.which(voice.program))
    if not found:
        raise VoiceError(
            "no speech program is installed; install one ('apt-get install espeak-ng flite')"
        )
    return found
