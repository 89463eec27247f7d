"""From labelled rows to the pairs that a step judge learns from."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rehearse.fit.rows import Row
from rehearse.weights.step_judge import LABELS, readable

SAID, NOT_SAID = LABELS.index("said"), LABELS.index("not_said")

OTHERS = 3  # utterances right for another step, a step: nothing of this one was said
JOINED = 0.15  # share of rows heard in one breath with another step
HESITANT = 0.25  # share of rows with fillers and repeats strewn in
REWORDED = 0.35  # share of rows also read beside a fair paraphrase instead of the canonical words
WORDING_KINDS = frozenset({"paraphrase", "verbatim", "formal", "passive", "terse"})
CHANGED = 0.5  # share of unlabelled sayings in which a word is changed; one is lost in the others
NEAR = 0.5  # share of shared words from which two steps may mean each other
FILLERS = ("um", "uh", "er", "okay", "so", "then", "and", "well", "yeah")


@dataclass(frozen=True)
class Example:
    """A pair as the judge reads it, and the column of `LABELS` that is right."""

    step: str
    said: str
    label: int


def examples(rows: Sequence[Row], seed: int) -> list[Example]:
    """One epoch's pairs, drawn anew for each seed and in random order."""
    chance = random.Random(seed)  # noqa: S311 - repeatable on purpose
    by_step = _by_step(rows)
    pairs = [Example(readable(row.step), readable(row.said), _label(row)) for row in rows]
    pairs += [Example(readable(step), readable(step), SAID) for step in by_step]
    pairs += _others(by_step, chance)
    pairs += _joined(rows, by_step, chance)
    pairs += _reworded(rows, by_step, chance)
    pairs = [_hesitant(pair, chance) if chance.random() < HESITANT else pair for pair in pairs]
    chance.shuffle(pairs)
    return pairs


def unlabelled(rows: Sequence[Row], seed: int) -> list[tuple[str, str]]:
    """Pairs of a step and a saying of it that lost a word, or has one of its neighbour's instead.

    Nobody knows what they are worth; teachers tell, and pupils learn where they draw the line.
    """
    chance = random.Random(seed)  # noqa: S311 - repeatable on purpose
    by_step = _by_step(rows)
    pairs = []
    for row in rows:
        words = readable(row.said).split()
        if len(words) < 2:
            continue
        at = chance.randrange(len(words))
        other = readable(chance.choice(by_step[row.step]).said).split()
        words[at : at + 1] = [chance.choice(other)] if other and chance.random() < CHANGED else []
        pairs.append((readable(row.step), " ".join(words)))
    return pairs


def _label(row: Row) -> int:
    return LABELS.index(row.expect)


def _by_step(rows: Iterable[Row]) -> dict[str, list[Row]]:
    steps: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        steps[row.step].append(row)
    return steps


def _others(by_step: dict[str, list[Row]], chance: random.Random) -> Iterator[Example]:
    """Right sayings of other steps of the same group, which say nothing of this one."""
    groups: dict[str, list[Row]] = defaultdict(list)
    for step_rows in by_step.values():
        for row in step_rows:
            if row.expect == "said":
                groups[row.group].append(row)
    for step, step_rows in by_step.items():
        pool = groups[step_rows[0].group]
        for other in chance.sample(pool, min(OTHERS, len(pool))):
            if not _near(step, other.step):
                yield Example(readable(step), readable(other.said), NOT_SAID)


def _near(one: str, other: str) -> bool:
    first, second = set(readable(one).split()), set(readable(other).split())
    return len(first & second) > NEAR * min(len(first), len(second))


def _joined(
    rows: Sequence[Row], by_step: dict[str, list[Row]], chance: random.Random
) -> Iterator[Example]:
    """Two steps in one breath: what is true of the one stays true."""
    right = [row for step_rows in by_step.values() for row in step_rows if row.expect == "said"]
    for row in rows:
        other = chance.choice(right)
        if (
            chance.random() < JOINED
            and row.expect != "not_said"
            and not _near(row.step, other.step)
        ):
            both = [row.said, other.said]
            chance.shuffle(both)
            yield Example(readable(row.step), readable(" and ".join(both)), _label(row))


def _reworded(
    rows: Sequence[Row], by_step: dict[str, list[Row]], chance: random.Random
) -> Iterator[Example]:
    """A fair paraphrase stands for the step, as an operator's other wordings do."""
    for row in rows:
        if chance.random() >= REWORDED:
            continue
        wordings = [
            other.said
            for other in by_step[row.step]
            if other.expect == "said" and other.kind in WORDING_KINDS and other.said != row.said
        ]
        if wordings:
            yield Example(readable(chance.choice(wordings)), readable(row.said), _label(row))


def _hesitant(pair: Example, chance: random.Random) -> Example:
    words = pair.said.split()
    for _ in range(chance.randint(1, 3)):
        at = chance.randint(0, len(words))
        if words and chance.random() < 0.4:
            at = min(at, len(words) - 1)
            words[at:at] = [words[at]]
        else:
            words[at:at] = [chance.choice(FILLERS)]
    return Example(pair.step, " ".join(words), pair.label)
