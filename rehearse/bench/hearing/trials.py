"""What is said in the hearing benchmark: texts about critical steps, right ones and wrong ones."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

import yaml

from rehearse.book.model import Procedure, Step
from rehearse.language import Flip, Language, load
from rehearse.language.english import flipped
from rehearse.language.lexicon import form

LANGUAGE = "en"
SEED = 240
WRITTEN, OTHER, FORBIDDEN = "written", "other", "forbidden"
RIGHT = frozenset({WRITTEN, OTHER})
OPPOSITES = ("state", "side", "number", "polarity", "direction", "order")
# In what turn the kinds come: a third of the texts are right, and every opposite has its share.
TURNS = (
    *(WRITTEN, "state", "side", OTHER, "number", "polarity"),
    *(WRITTEN, "direction", "order", OTHER, FORBIDDEN, "state"),
)


@dataclass(frozen=True)
class Trial:
    """One text said about one critical step.

    kind: `WRITTEN`, `OTHER` (another wording of the step), one of `OPPOSITES` (the step with one
        slot turned round) or `FORBIDDEN` (a statement that the step must never be credited for).
    command: the step is a command.
    """

    procedure: str
    step: str
    text: str
    kind: str
    command: bool = False

    @property
    def right(self) -> bool:
        """Whether the text says the step."""
        return self.kind in RIGHT


def pool(procedures: Sequence[Procedure]) -> tuple[Trial, ...]:
    """Every trial of these procedures; those not in `LANGUAGE` have none."""
    return tuple(
        trial
        for procedure in procedures
        if procedure.language == LANGUAGE
        for step in procedure.steps
        if step.critical
        for trial in _trials(procedure, step)
    )


def _trials(procedure: Procedure, step: Step) -> Iterator[Trial]:
    language = load(LANGUAGE).added(procedure.words)
    kinds = dict.fromkeys((step.say,), WRITTEN)
    for text in step.also:
        kinds.setdefault(text, OTHER)
    words = step.say.split()
    for flip in language.flips(words):
        kinds.setdefault(flipped(words, flip), kind_of(flip, words, language))
    for text in step.never:
        kinds.setdefault(text, FORBIDDEN)
    for text, kind in kinds.items():
        yield Trial(procedure.id, step.id, text, kind, step.command)


def kind_of(flip: Flip, words: Sequence[str], language: Language) -> str:
    """Which of `OPPOSITES` a flip of the words makes."""
    old = language.tokens(words[flip.first : flip.first + flip.count])
    new = language.tokens(flip.replacement.split())
    if not flip.count or not flip.replacement:
        return "polarity"
    if {token.kind for token in (*old, *new)} == {"door"}:
        return "number" if old[0].form[0] != new[0].form[0] else "side"
    if any(token.kind != "word" for token in old) and all(token.kind != "word" for token in new):
        return "number"
    before, after = (form(" ".join(t.form for t in side)) for side in (old, new))
    for contrast in language.lexicon.contrasts:
        if before in contrast.phrases and after in contrast.phrases:
            return _kinds().get(contrast.name, "state")
    return "state"


@cache
def _kinds() -> Mapping[str, str]:
    text = resources.files("rehearse.bench.hearing").joinpath("kinds.yaml").read_text("utf-8")
    return {name: kind for kind, names in yaml.safe_load(text).items() for name in names}


def sample(trials: Sequence[Trial], voice: str, count: int, seed: int = SEED) -> tuple[Trial, ...]:
    """What one voice says: so many different texts, of all kinds and procedures alike.

    The same seed, voice and book give the same texts. Kinds come in their turns; within a kind the
    procedure that this voice has said least of comes first, chosen among equals by a hash. Fewer
    than `count` where the book has no more.
    """
    ordered = sorted(trials, key=lambda trial: _hash(seed, voice, trial))
    by_kind = {kind: [t for t in ordered if t.kind == kind] for kind in TURNS}
    said: Counter[str] = Counter()
    texts: set[str] = set()
    chosen: list[Trial] = []
    turn = 0
    while len(chosen) < count and any(by_kind.values()):
        left = by_kind[TURNS[turn % len(TURNS)]]
        turn += 1
        left[:] = [trial for trial in left if trial.text not in texts]
        if left:
            trial = min(left, key=lambda trial: said[trial.procedure])  # the first of equals
            chosen.append(trial)
            texts.add(trial.text)
            said[trial.procedure] += 1
    return tuple(chosen)


def _hash(seed: int, voice: str, trial: Trial) -> bytes:
    key = "|".join((str(seed), voice, trial.procedure, trial.step, trial.text))
    return hashlib.blake2b(key.encode(), digest_size=8).digest()
