"""Whether an author's corrections fit the step: each phrase must be words of its sentence."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.book.draft import StepDraft
from rehearse.book.faults import Faults, shown
from rehearse.book.fields import Placed
from rehearse.book.relations import plain


def check_demands(steps: Sequence[StepDraft], faults: Faults) -> None:
    """Tell every fault in the `demands` of the steps."""
    for step in steps:
        if step.demands.mark is not None:
            _step(step, f"{step.field}.demands", faults)


def _step(step: StepDraft, field: str, faults: Faults) -> None:
    demands = step.demands
    if demands.mark is None or step.say is None:
        return
    if step.command:
        fault = "a command is judged word by word, so nothing can be added or let go"
        faults.add(demands.mark, field, fault, "take it out")
        return
    if not (demands.named or demands.spare or demands.contrasts):
        mend = "add 'named: [...]', 'spare: [...]' or 'contrasts: {...}', or take it out"
        faults.add(demands.mark, field, "nothing is corrected here", mend)
    say = plain(step.say.value)
    named = _listed(demands.named, f"{field}.named", say, faults)
    spare = _listed(demands.spare, f"{field}.spare", say, faults)
    for text in spare:
        for other in named:
            if set(text.split()) & set(other.split()):
                fault = f"{shown(text)} and {shown(other)} share words"
                mend = "keep them under 'named' or under 'spare', not both"
                faults.add(demands.mark, field, fault, mend)
    left = say.split()
    for text in spare:
        at = _place(text.split(), left)
        if at is None:
            faults.add(demands.mark, f"{field}.spare", "two phrases overlap", "join them into one")
            return
        del left[at : at + len(text.split())]
    if len(left) < 2:
        mend = "leave the words that make the step"
        faults.add(demands.mark, f"{field}.spare", "hardly anything would be left to say", mend)
    _contrasts(step, f"{field}.contrasts", say, faults)


def _listed(listed: Sequence[Placed[str]], field: str, say: str, faults: Faults) -> list[str]:
    """The phrases, as they sound, that are words of the sentence; the others are told."""
    found: list[str] = []
    for number, placed in enumerate(listed, start=1):
        text = plain(placed.value)
        if _place(text.split(), say.split()) is None:
            _tell_foreign(placed, f"{field}[{number}]", faults)
        elif text in found:
            faults.add(placed.mark, f"{field}[{number}]", "it is listed twice", "take it out")
        else:
            found.append(text)
    return found


def _tell_foreign(placed: Placed[str], field: str, faults: Faults) -> None:
    fault = f"{shown(placed.value)} does not stand in the step's sentence"
    faults.add(placed.mark, field, fault, "copy the words as 'say' has them")


def _contrasts(step: StepDraft, field: str, say: str, faults: Faults) -> None:
    seen: set[str] = set()
    for said, others in step.demands.contrasts:
        text = plain(said.value)
        place = f"{field}.{shown(said.value).strip(chr(39))}"
        if _place(text.split(), say.split()) is None:
            _tell_foreign(said, place, faults)
        if text in seen:
            faults.add(said.mark, place, "it is listed twice", "join the two")
        seen.add(text)
        for number, other in enumerate(others, start=1):
            if _place(plain(other.value).split(), say.split()) is not None:
                fault = f"{shown(other.value)} stands in the step's sentence itself"
                mend = "write what must not be said in its place"
                faults.add(other.mark, f"{place}[{number}]", fault, mend)


def _place(words: Sequence[str], within: Sequence[str]) -> int | None:
    """Where the words stand in a row; None when they do not."""
    for at in range(len(within) - len(words) + 1):
        if list(within[at : at + len(words)]) == list(words):
            return at
    return None
