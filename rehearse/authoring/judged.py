"""Advice from the judge itself: what each wording of a procedure is taken for, said alone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

from rehearse.book.advice import Advice
from rehearse.book.faults import shown
from rehearse.book.model import Procedure, Step
from rehearse.events import Heard
from rehearse.judge.verdict import Result, Verdict

_PACE = 2.5  # words a second; times decide nothing here
_CREDITED = frozenset({Verdict.SAID, Verdict.OUT_OF_ORDER})  # said, whatever came before it


class Judge(Protocol):
    """The part of `rehearse.judge.assess.Assessor` that is used here."""

    def restart(self) -> None:
        """Forget everything heard."""
        ...

    def add(self, heard: Heard) -> None:
        """Take in one more utterance."""
        ...

    def result(self) -> Result:
        """The verdicts on what was heard so far."""
        ...


def judged(procedure: Procedure, judge: Judge) -> Iterator[Advice]:
    """What is worth mending in the procedure's wordings, each of which is said to the judge.

    judge: one of this procedure; what it heard before is forgotten.
    """
    for step in procedure.steps:
        for field, text in _texts(step, "say", "also"):
            yield from _wording(step, field, text, _said(judge, text))
        for field, text in _texts(step, "never"):
            yield from _forbidden(field, text, _said(judge, text))


def _texts(step: Step, *keys: str) -> Iterator[tuple[str, str]]:
    """The fields of a step that hold texts, and the texts."""
    for key in keys:
        if key == "say":
            yield f"steps[{step.id}].say", step.say
            continue
        listed: tuple[str, ...] = getattr(step, key)
        yield from ((f"steps[{step.id}].{key}[{n}]", text) for n, text in enumerate(listed, 1))


def _said(judge: Judge, text: str) -> Result:
    judge.restart()
    judge.add(Heard(0.0, len(text.split()) / _PACE, text))
    return judge.result()


def _wording(step: Step, field: str, text: str, result: Result) -> Iterator[Advice]:
    own = result.step(step.id)
    if own.verdict not in _CREDITED:
        fault = f"said as it stands, the judge finds it {_words(own.verdict)}"
        mend = "say it in plainer words, or correct what is asked with 'demands'"
        yield Advice("judged-missed", field, fault, mend)
    for other in result.steps:
        if other.id != step.id and other.verdict in _CREDITED:
            fault = f"{shown(text)} is also credited to step '{other.id}'"
            mend = "word one of the two differently, or 'demand' what sets them apart"
            yield Advice("judged-alike", field, fault, mend)


def _forbidden(field: str, text: str, result: Result) -> Iterator[Advice]:
    credited = [each.id for each in result.steps if each.verdict in _CREDITED]
    if credited:
        fault = f"the judge credits {shown(text)} to step '{credited[0]}'"
        mend = "add a contrast to lexicon.yaml or to the step's 'demands'"
        yield Advice("never-credited", field, fault, mend)
        return
    wrong = any(each.verdict is Verdict.WRONG for each in result.steps)
    if not wrong and not any(extra.dangerous for extra in result.extras):
        fault = f"the judge sees nothing wrong in {shown(text)}"
        mend = "name the opposite with words of a contrast set, or add one to lexicon.yaml"
        yield Advice("never-unseen", field, fault, mend)


def _words(verdict: Verdict) -> str:
    return verdict.value.replace("_", " ")
