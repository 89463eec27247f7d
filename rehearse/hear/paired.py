"""Two engines for one language: one reads while somebody speaks, the other says what was said."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.events import Word
from rehearse.hear.recogniser import Expectation, Recogniser, Sound, Transcript


class Paired:
    """`rehearse.hear.recogniser.Recogniser` of two; only `partial` comes from the quick one."""

    def __init__(self, judge: Recogniser, quick: Recogniser) -> None:
        self._judge = judge
        self._quick = quick
        self.name = f"{judge.name} with {quick.name}"

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """As the judge reads it."""
        return self._judge.free(sound)

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """As the judge supports them."""
        return self._judge.support(sound, texts)

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """As the judge places the words."""
        return self._judge.align(sound, text)

    def evidence(self, sound: Sound, text: str) -> float:
        """As the judge bears them out."""
        return self._judge.evidence(sound, text)

    def partial(self, sound: Sound, expectation: Expectation) -> str:
        """What the quick one has read so far."""
        return self._quick.partial(sound, expectation)
