"""The tool's own voice as its microphone hears it, with hearing muted and as it were not."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rehearse.bench.drill_voices import Recorded
from rehearse.bench.ghosts.block import SECONDS, Block, echoed, heard, turn
from rehearse.book.model import Procedure, Step
from rehearse.coach.debrief import debrief, speaking_seconds
from rehearse.coach.phrasebook import Phrasebook, phrasebook
from rehearse.coach.requests import teachable
from rehearse.coach.wording import first_words, sentence
from rehearse.cues.waves import Chance
from rehearse.hear.recogniser import RATE
from rehearse.judge.reasons import why
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.language import Language, load
from rehearse.safety import spoken_notice

# Of the tool's voice at the microphone, dB over full scale: a headset that leaks to a loudspeaker
# beside the microphone.
_LEVELS = (-60.0, -48.0, -36.0, -24.0, -12.0)
_ROOMS = (0.15, 0.4, 0.6)  # seconds of echo
_LATE = (0.0, 0.2)  # seconds by which the devices are late with what they were given
_PAUSE = 1.0  # seconds between prompts


def script(procedure: Procedure, number: int) -> list[str]:
    """What the tool says in one block: half a minute of a practice in which little goes right."""
    said: list[str] = []
    seconds = 0.0
    everything = list(prompts(procedure))
    start = number * 5 % len(everything)
    for text in everything[start:] + everything[:start]:
        said.append(text)
        seconds += speaking_seconds(text) + _PAUSE
        if seconds >= SECONDS:
            break
    return said


def prompts(procedure: Procedure) -> Iterator[str]:
    """Announcement, help and correction for every step, replies and the debrief."""
    book = phrasebook(procedure.language)
    language = load(procedure.language).added(procedure.words)
    yield book.text(
        "welcome",
        title=procedure.title,
        steps=book.text("steps", count=len(procedure.steps)),
        notice=sentence(spoken_notice(procedure.language)),
    )
    for step in procedure.steps:
        yield book.text("first_words", words=first_words(step.say))
        yield book.text("whole_step", step=sentence(step.say))
        yield _corrected(step, language, book)
    yield book.text("help", requests=", ".join(teachable(procedure)))
    yield debrief(procedure, _nothing_right(procedure, language), book)


def _corrected(step: Step, language: Language, book: Phrasebook) -> str:
    """The correction of a saying that was the opposite of the step, which it quotes."""
    wrong = next(iter((*step.never, *language.contrasts(step.say))), step.say)
    reason = language.lexicon.reasons["wrong"].format(heard=wrong, say=step.say.rstrip(" .,;:!?"))
    return book.text("correction", why=sentence(reason))


def _nothing_right(procedure: Procedure, language: Language) -> Result:
    verdict = Verdict.NOT_SAID
    steps = tuple(
        StepResult(step.id, verdict, 0.0, "", None, None, why(step, None, verdict, language))
        for step in procedure.steps
    )
    return Result(procedure.id, procedure.revision.number, False, steps, ())


def own(number: int, chance: Chance, voice: Recorded, texts: list[str], *, muted: bool) -> Block:
    """The prompts one after the other, quiet to loud, in rooms.

    muted: with the stretches in which practice mutes hearing; they begin before the first sample
        of a prompt is heard and end when its last one was given to the device, which may be late.
    """
    level, room = turn(number, len(_LEVELS), len(_ROOMS))
    whole = np.zeros(round(SECONDS * RATE))
    spoken: list[tuple[float, float]] = []
    at = 0.5
    for text in texts:
        clip = voice.say(text)
        sound = clip.sound[clip.begin : clip.end]
        late = float(chance.uniform(*_LATE))
        first = round((at + late) * RATE)
        fits = sound[: max(0, whole.size - first)]
        whole[first : first + fits.size] += fits
        spoken.append((at, at + clip.seconds))
        at += clip.seconds + _PAUSE
    made = echoed(whole, _ROOMS[room], chance)
    return Block(heard(made, _LEVELS[level], number, chance), tuple(spoken) if muted else ())
