"""What the judge demands of each step, as lines an author reads in 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.book.model import Procedure
from rehearse.book.show import order_words, wrapped
from rehearse.judge.facts import Against, Facts, facts
from rehearse.language import Language
from rehearse.safety import NOTICE

_INDENT = 5
_LABEL = 14  # columns of a label
_SHOWN = 6  # other words of one set that are shown; the rest is counted

_PREFACE = (
    "What the judge takes from each sentence and demands of a saying. Where it is not what you "
    "mean, correct the step in the file with the key 'demands': procedures/README.md says how."
)


def facts_page(procedure: Procedure, language: Language) -> list[str]:
    """The facts of a procedure's steps, in plain words."""
    numbers = {step.id: number for number, step in enumerate(procedure.steps, start=1)}
    lines = [*wrapped(procedure.title, "", ""), "", *wrapped(_PREFACE, "", "")]
    for found in facts(procedure, language):
        kinds = [
            word
            for word, true in (("CRITICAL", found.step.critical), ("COMMAND", found.step.command))
            if true
        ]
        head = f"{numbers[found.step.id]:3}  {found.step.id}"
        lines += ["", "  ".join([head, *kinds]), *wrapped(found.step.say, " " * 5, " " * 5)]
        rows = _command(found) if found.step.command else _step(found)
        for label, text in (*rows, *_common(found, numbers)):
            start = f"{'':<{_INDENT}}{label:<{_LABEL}}"
            lines += wrapped(text, start, " " * len(start))
    return [*lines, "", *wrapped(NOTICE, "", "")]


def _step(found: Facts) -> Iterator[tuple[str, str]]:
    parts = found.parts
    for action, thing in zip(parts.actions, parts.objects, strict=True):
        if action:
            yield "action", action
        if thing:
            yield "object", thing
    for label, texts in (
        ("place", parts.places),
        ("state", found.states),
        ("number", found.numbers),
        ("direction", found.directions),
        ("order", parts.orders),
        ("condition", parts.conditions),
    ):
        if texts:
            yield label, "; ".join(texts)
    yield "who", parts.actor or "whoever says it: the sentence names nobody"
    polarity = (
        "denied: without its 'not' it is wrong"
        if parts.denied
        else ("affirmed: with a 'not' it is wrong")
    )
    yield "polarity", polarity
    if found.named:
        yield "must name", f"{', '.join(found.named)}: left out, the step is incomplete"
    if found.step.demands.spare:
        yield "may go", f"{', '.join(found.step.demands.spare)}: may be left out"
    for words, others in found.against:
        yield "wrong", f"{_listed(others)} for {words}"
    if found.keys:
        yield "key words", "; ".join(_key(key) for key in found.keys)


def _key(key: Against) -> str:
    word, others = key
    return f"{word} (or {_listed(others)})" if others else word


def _listed(words: Sequence[str]) -> str:
    """The first few, and how many more there are."""
    more = len(words) - _SHOWN
    return ", ".join(words[:_SHOWN]) + (f" and {more} more" if more > 0 else "")


def _command(found: Facts) -> Iterator[tuple[str, str]]:
    every = "every word as it stands; small words (the, and, then) may come and go"
    yield "word by word", every
    if found.step.also:
        yield "or", "; ".join(found.step.also)


def _common(found: Facts, numbers: dict[str, int]) -> Iterator[tuple[str, str]]:
    for text in found.step.never:
        yield "never", text
    for words, others in found.heard:
        yield "by sound", f"{words}, not {_listed(others)}" if others else f"no 'not' after {words}"
    if found.step.critical:
        text = "a word above that the sound leaves open makes the step unclear, not said"
        yield "in doubt", text
    if found.step.after is not None:
        yield "after", order_words(found.step.after, numbers)
