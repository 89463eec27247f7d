"""How well a procedure's steps are heard: said by several voices, recognised, judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from rehearse.authoring.judged import Judge
from rehearse.authoring.voices import SpeakingVoice
from rehearse.book.advice import Advice
from rehearse.book.faults import shown
from rehearse.book.model import Procedure, Step
from rehearse.book.relations import plain
from rehearse.events import Heard
from rehearse.judge.verdict import Verdict

Hear = Callable[[str, SpeakingVoice], Sequence[Heard]]
"""What is heard of a text that a voice says: the utterances, as in a practice."""

# Share of voices in which a step should be credited. Synthetic voices are heard worse than people,
# so that what half of them get through is worth no remark.
ENOUGH = 0.5
_CREDITED = frozenset({Verdict.SAID, Verdict.OUT_OF_ORDER})


@dataclass(frozen=True)
class Trial:
    """One step said by one voice. heard: all that was recognised, "" for nothing."""

    voice: SpeakingVoice
    heard: str
    verdict: Verdict

    @property
    def credited(self) -> bool:
        """Whether the step was credited."""
        return self.verdict in _CREDITED


@dataclass(frozen=True)
class Listened:
    """One step said by every voice."""

    step: Step
    trials: tuple[Trial, ...]

    @property
    def credited(self) -> int:
        """In how many voices it was credited."""
        return sum(trial.credited for trial in self.trials)

    @property
    def lost(self) -> tuple[str, ...]:
        """Words of the sentence that were not heard in half the voices or more, in its order."""
        words = [word for word in plain(self.step.say).split() if len(word) > 1]
        missed = Counter(
            word for trial in self.trials for word in set(words) - set(plain(trial.heard).split())
        )
        often = {word for word, count in missed.items() if 2 * count >= len(self.trials)}
        return tuple(dict.fromkeys(word for word in words if word in often))


def listened(
    procedure: Procedure, voices: Sequence[SpeakingVoice], hear: Hear, judge: Judge
) -> Iterator[Listened]:
    """Each step as every voice says it, in the file's order; slow, so one by one."""
    for step in procedure.steps:
        yield Listened(
            step, tuple(_trial(step, voice, hear(step.say, voice), judge) for voice in voices)
        )


def _trial(step: Step, voice: SpeakingVoice, heard: Sequence[Heard], judge: Judge) -> Trial:
    judge.restart()
    for utterance in heard:
        judge.add(utterance)
    text = " ".join(utterance.text for utterance in heard)
    return Trial(voice, text, judge.result().step(step.id).verdict)


def misheard(found: Listened) -> Iterator[Advice]:
    """Advice on a step that too few voices got through; others get none."""
    voices = len(found.trials)
    if found.credited >= ENOUGH * voices:
        return
    failed = next(trial for trial in found.trials if not trial.credited)
    fault = f"credited in {found.credited} of {voices} voices; heard as {shown(failed.heard)}"
    lost = f"use other words for {', '.join(found.lost)}" if found.lost else "use other words"
    yield Advice(
        "misheard", f"steps[{found.step.id}].say", fault, f"{lost}, or add the sayings to 'also'"
    )
