"""The numbers that decide what was heard, in one place, with where they came from.

All are differences or means of support, in nats. The clips they were fitted on: 14 natural voices
(half of them not native speakers) saying steps, their contrasts and paraphrases, clean and in
noise; see `docs/hearing.md` for figures.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Thresholds:
    """When a reading is mended, flipped or refused.

    expected: how much worse an expected wording may fit than a sound-alike garble of it. Garbles
        ("pains" for "panes", "drama half" for "drum a half") gain up to this because the decoder
        did not expect them; true differences of one word cost more.
    alike: least likeness of letters, 0..1, between a garble and what it is mended to.
    vocabulary: the same as `expected` for single words of the procedure outside its wordings.
    vocabulary_alike: the same as `alike` for those.
    taken: a slot's opposite must fit better by this before it replaces what was read.
    supported: least mean support per token of a text that was really said.
    """

    expected: float = 4.0
    alike: float = 0.45
    vocabulary: float = 3.0
    vocabulary_alike: float = 0.65
    taken: float = 4.0
    supported: float = -1.5


THRESHOLDS = Thresholds()
