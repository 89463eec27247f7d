"""What differs between two revisions of a procedure, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from rehearse.authoring.pairing import kept_in_place, pairs
from rehearse.book.model import Demands, Procedure, Step
from rehearse.book.show import order_words, passes


@dataclass(frozen=True)
class Change:
    """One difference. step: the id it has now, or had; "" for the procedure itself.

    asked: it changes what a person must say, in what order, or what passes.
    """

    step: str
    text: str
    asked: bool = True


def changes(old: Procedure, new: Procedure) -> tuple[Change, ...]:
    """Every difference: of the procedure, then of its steps in the new order, then those gone."""
    paired = pairs(old.steps, new.steps)
    return (*_of_procedure(old, new), *_of_steps(old, new, paired))


def _of_procedure(old: Procedure, new: Procedure) -> Iterator[Change]:
    rows = (
        ("it is called", old.title, new.title, False),
        ("the aircraft is", old.aircraft, new.aircraft, True),
        ("the crew is", _crew(old), _crew(new), True),
        ("its topic is", old.topic or "none", new.topic or "none", False),
        ("the language is", old.language, new.language, True),
        ("the revision is", f"{old.revision.number}", f"{new.revision.number}", False),
        ("it takes effect on", f"{old.revision.effective}", f"{new.revision.effective}", False),
        ("its source is", old.revision.source, new.revision.source, False),
        ("the order is", _order(old), _order(new), True),
        ("it passes with", passes(old), passes(new), True),
    )
    if old.id != new.id:
        yield Change("", f"the id is {new.id}, was {old.id}: results are kept under each id")
    for label, before, now, asked in rows:
        if before != now:
            yield Change("", f"{label} {now}, was {before}", asked)


def _crew(procedure: Procedure) -> str:
    return ", ".join(procedure.positions) or "every position"


def _order(procedure: Procedure) -> str:
    return "as listed" if procedure.order == "strict" else "free"


def _of_steps(old: Procedure, new: Procedure, paired: Mapping[str, Step]) -> Iterator[Change]:
    """paired: for each new id its old step, when it had one."""
    places = {step.id: at for at, step in enumerate(old.steps, start=1)}
    still = kept_in_place([places[paired[s.id].id] for s in new.steps if s.id in paired])
    for at, step in enumerate(new.steps, start=1):
        if step.id not in paired:
            yield Change(step.id, f"added as step {at}{_kind(step)}: “{step.say}”")
            continue
        before = paired[step.id]
        if before.id != step.id:
            yield Change(step.id, f"was called '{before.id}'", asked=False)
        if places[before.id] not in still:
            yield Change(step.id, f"moved from place {places[before.id]} to {at}")
        yield from _of_step(before, step, old, new)
    kept = {step.id for step in paired.values()}
    for step in old.steps:
        if step.id not in kept:
            text = f"taken out, was step {places[step.id]}{_kind(step)}: “{step.say}”"
            yield Change(step.id, text)


def _kind(step: Step) -> str:
    kinds = ["critical"] * step.critical + ["command"] * step.command
    return f" ({', '.join(kinds)})" if kinds else ""


def _of_step(before: Step, now: Step, old: Procedure, new: Procedure) -> Iterator[Change]:
    if before.say != now.say:
        yield _wording(before, now)
    if before.critical != now.critical:
        yield Change(now.id, "is now critical" if now.critical else "is no longer critical")
    if before.command != now.command:
        yield Change(now.id, "is now a command, judged word by word" if now.command
                     else "is no longer a command: judged by meaning")  # fmt: skip
    for label, was, given in (
        ("counts as said", before.also, now.also),
        ("is forbidden", before.never, now.never),
    ):
        yield from (Change(now.id, f"now {label}: “{t}”") for t in given if t not in was)
        yield from (Change(now.id, f"no longer {label}: “{t}”") for t in was if t not in given)
    if before.after != now.after:
        yield Change(now.id, f"may be said {_after(now, new)}, was {_after(before, old)}")
    if before.reason != now.reason:
        text = f"its reason is now “{now.reason}”" if now.reason else "its reason was taken out"
        yield Change(now.id, text, asked=False)
    yield from (Change(now.id, text) for text in _demands(before.demands, now.demands))


def _wording(before: Step, now: Step) -> Change:
    """The new sentence, and which words became which."""
    was, given = before.say.split(), now.say.split()
    turned = [
        f"{' '.join(was[a:b]) or 'nothing'} → {' '.join(given[c:d]) or 'nothing'}"
        for kind, a, b, c, d in SequenceMatcher(None, was, given, autojunk=False).get_opcodes()
        if kind != "equal"
    ]
    return Change(now.id, f"now reads “{now.say}” ({'; '.join(turned)})")


def _after(step: Step, procedure: Procedure) -> str:
    if step.after is None:
        return "in its place" if procedure.order == "strict" else "at any time"
    numbers = {each.id: at for at, each in enumerate(procedure.steps, start=1)}
    return order_words(step.after, numbers)


def _demands(before: Demands, now: Demands) -> Iterator[str]:
    rows: Sequence[tuple[str, Sequence[str], Sequence[str]]] = (
        ("must be named", before.named, now.named),
        ("may be left out", before.spare, now.spare),
        ("is told apart", _against(before), _against(now)),
    )
    for label, was, given in rows:
        yield from (f"now {label}: {text}" for text in given if text not in was)
        yield from (f"no longer {label}: {text}" for text in was if text not in given)


def _against(demands: Demands) -> list[str]:
    return [f"{said} from {', '.join(others)}" for said, others in demands.contrasts]
