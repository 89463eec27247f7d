"""The numbers that decide what was heard, in one place, with where they came from.

All are differences or means of support, in nats. The clips they were fitted on: 14 natural voices
(half of them not native speakers) saying steps, their contrasts and paraphrases, clean and in
pink noise at 10 dB.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Thresholds:
    """When a reading is mended, flipped or refused.

    expected: how much worse an expected wording may fit than a garble of it. Garbles ("pains"
        for "panes", "drama half" for "drum a half") gain because the decoder did not expect them.
        Of the 131 swaps that cost under 5, 128 came nearer to what was said and 1 went away from
        it; of the 22 that cost 5 to 8, only 8 came nearer.
    homophone: the same for words that sound alike ("C one" for "see one", "aft of" for "after"),
        between which no sound decides: in 27 sayings of four voices the right one fitted worse by
        0 to 6.5 nats.
    alike: least likeness of letters, 0..1, for an allowance of expected wordings.
    sure: the reading's words are kept, whatever was expected, from this confidence on.
    settled: what would be taken only if it fitted better is not even asked of the sound from this
        confidence on. Of 784 such swaps none fitted better; the nearest was behind by 2.4.
    vocabulary, vocabulary_alike, vocabulary_sure: the same for single words of the procedure
        outside its wordings: 49 swaps came nearer, none went away.
    inflected: allowance for another ending of a word that decides something (arm, armed).
    taken: a slot's opposite must fit better by this before it replaces what was read; less leaves
        it in doubt. `rehearse bench hear --fit` finds it: 1 of 3,337 slots of 25 fit voices is then
        held to be its opposite (2 at 4 nats), of 10,171 of 23 other voices 4 (7).
    supported: least mean support per token of a text that was really said. Clean, none of 426
        clips fell under it (1st percentile 0.8); at 10 dB 5 of 398 did, all garbled.
    repeated: least mean confidence of the first saying where an utterance is nothing but that
        saying again and again. Sobs and laughter are read as "Go, go, go!": four of those that
        reached `supported` had 0.21, 0.24, 0.26 and 0.45. 65 commands that eight natural voices
        said two or three times (clean, at 10 and 5 dB) and that were rightly read had 0.43 or
        more; the six refused were all read as something else.
    command_worth, command_costs: a garble in a drill is read as a command whose support a word,
        less a nat for each so many nats that it costs against the garble, reaches this. Of 56
        commands (7, four voices of flite, clean and at 10 dB) 46 do; of 112 wrong ones and 56
        halves none: the nearest, 0.42, is beaten by its own opposite, the next has 0.2. Of 144
        sentences of other talk none became a command.
    command_beats, command_whole: by how much it must beat every other command, and its own parts.
    """

    expected: float = 5.0
    homophone: float = 8.0
    alike: float = 0.25
    sure: float = 0.9
    settled: float = 0.6
    vocabulary: float = 3.0
    vocabulary_alike: float = 0.75
    vocabulary_sure: float = 0.3
    inflected: float = 3.0
    taken: float = 9.0
    supported: float = 0.5
    repeated: float = 0.35
    command_worth: float = 0.4
    command_costs: float = 10.0
    command_beats: float = 2.0
    command_whole: float = 0.5


THRESHOLDS = Thresholds()

# For engines with a closed list, whose readings are expected texts already: nothing is allowed for.
# Its searches reach 8 nats: an opposite must be ahead by half of that to be taken.
CLOSED = Thresholds(expected=0.0, homophone=0.0, vocabulary=0.0, inflected=0.0, taken=4.0)
