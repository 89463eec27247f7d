"""Whether the steps of a procedure fit each other: ids, wordings and the order asked for."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from rehearse.book.draft import StepDraft
from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.fields import Placed


def check(steps: Sequence[StepDraft], strict: bool, faults: Faults) -> None:
    """Tell every fault between steps; what could not be read is passed over."""
    _unique_ids(steps, faults)
    _unique_sentences(steps, faults)
    _forbidden_wordings(steps, faults)
    _after_names(steps, faults)
    _cycles(steps, strict, faults)


def plain(text: str) -> str:
    """The text as it sounds: lower case, letters and digits only, single spaces."""
    kept = "".join(char if char.isalnum() or char == "'" else " " for char in text.casefold())
    return " ".join(kept.split())


def _unique_ids(steps: Sequence[StepDraft], faults: Faults) -> None:
    first: dict[str, Mark] = {}
    for step in steps:
        if step.id is None:
            continue
        if step.id.value in first:
            fault = f"the id '{step.id.value}' is taken by the step in line"
            fault += f" {first[step.id.value].line}"
            faults.add(step.id.mark, f"{step.field}.id", fault, "give this step an id of its own")
        first.setdefault(step.id.value, step.id.mark)


def _unique_sentences(steps: Sequence[StepDraft], faults: Faults) -> None:
    first: dict[str, Mark] = {}
    for step in steps:
        if step.say is None:
            continue
        sentence = plain(step.say.value)
        if sentence in first:
            fault = f"the same words are said by the step in line {first[sentence].line}"
            mend = "say what is different, as the side or 'again', or take one of the steps out"
            faults.add(step.say.mark, f"{step.field}.say", fault, mend)
        first.setdefault(sentence, step.say.mark)


def _forbidden_wordings(steps: Sequence[StepDraft], faults: Faults) -> None:
    """What one step accepts, no step may forbid: the same words would be right and dangerous."""
    accepted: dict[str, Mark] = {}
    for step in steps:
        for placed in (*((step.say,) if step.say else ()), *step.also):
            accepted.setdefault(plain(placed.value), placed.mark)
    for step in steps:
        for number, placed in enumerate(step.never, start=1):
            mark = accepted.get(plain(placed.value))
            if mark is not None:
                fault = f"{shown(placed.value)} is accepted as said in line {mark.line}"
                mend = "keep it under 'never' or among the accepted wordings, not both"
                faults.add(placed.mark, f"{step.field}.never[{number}]", fault, mend)


def _after_names(steps: Sequence[StepDraft], faults: Faults) -> None:
    known = {step.id.value for step in steps if step.id is not None}
    for step in steps:
        named: set[str] = set()
        for number, placed in enumerate(step.after or (), start=1):
            field = f"{step.field}.after[{number}]"
            if step.id is not None and placed.value == step.id.value:
                faults.add(placed.mark, field, "the step is to follow itself", "take its id out")
            elif placed.value not in known:
                close = nearest(placed.value, known)
                mend = f"write '{close}'" if close else "name the id of another step"
                faults.add(placed.mark, field, f"there is no step '{placed.value}'", mend)
            elif placed.value in named:
                fault = f"'{placed.value}' is listed a second time"
                faults.add(placed.mark, field, fault, "take it out")
            named.add(placed.value)


@dataclass(frozen=True)
class _Link:
    """That a step follows another; `placed` is the `after` entry that asks for it, if one does."""

    before: str
    field: str
    placed: Placed[str] | None


def _cycles(steps: Sequence[StepDraft], strict: bool, faults: Faults) -> None:
    """Tell each ring of steps that wait for each other, once, by its shortest way round."""
    links = _links(steps, strict)
    try:
        TopologicalSorter({step: [link.before for link in links[step]] for step in links}).prepare()
    except CycleError:
        told: set[str] = set()
        for step in links:
            ring = [] if step in told else _ring(step, links)
            if ring and told.isdisjoint(ring):
                _tell_ring(ring, links, faults)
                told.update(ring)


def _links(steps: Sequence[StepDraft], strict: bool) -> dict[str, list[_Link]]:
    """What each step directly follows, as `Procedure.predecessors` counts it."""
    known = {step.id.value for step in steps if step.id is not None}
    links: dict[str, list[_Link]] = {}
    for step in steps:
        if step.id is None or step.id.value in links:
            continue
        if step.after is not None:
            links[step.id.value] = [
                _Link(placed.value, f"{step.field}.after[{number}]", placed)
                for number, placed in enumerate(step.after, start=1)
                if placed.value in known and placed.value != step.id.value
            ]
        else:
            above = list(links) if strict else []
            links[step.id.value] = [_Link(before, step.field, None) for before in above]
    return links


def _ring(start: str, links: Mapping[str, Sequence[_Link]]) -> list[str]:
    """The shortest way from a step through what it follows back to itself; empty when none."""
    reached: dict[str, str] = {}
    waiting = deque([start])
    while waiting:
        step = waiting.popleft()
        for link in links[step]:
            if link.before == start:
                ring = [step]
                while ring[-1] != start:
                    ring.append(reached[ring[-1]])
                return ring[::-1]
            if link.before not in reached:
                reached[link.before] = step
                waiting.append(link.before)
    return []


def _tell_ring(ring: Sequence[str], links: Mapping[str, Sequence[_Link]], faults: Faults) -> None:
    """Told at the last `after` entry that is part of the ring: usually the one added last."""
    pairs = list(zip(ring, [*ring[1:], ring[0]], strict=True))
    used = [next(link for link in links[step] if link.before == before) for step, before in pairs]
    words = [
        f"'{step}' follows '{link.before}'" + ("" if link.placed else " (above it, strict order)")
        for step, link in zip(ring, used, strict=True)
    ]
    asked = [(link.placed.mark, link.field) for link in used if link.placed is not None]
    mark, field = max(asked)
    fault = "these steps wait for each other: " + ", ".join(words)
    faults.add(mark, field, fault, "take one of these ids out of its 'after'")
