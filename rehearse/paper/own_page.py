"""A trainee's own page as text: practice over time, and the steps to work on, weakest first.

How weak a step is: (said + 1) / (tries + 2) over its last ten tries, the expected share of right
sayings when nothing is known beforehand (Laplace's rule of succession). One slip in one try so
ranks behind nine slips in ten.
"""

from __future__ import annotations

import textwrap
from collections import defaultdict
from dataclasses import dataclass

from rehearse.judge.verdict import Verdict
from rehearse.paper.letters import legible
from rehearse.paper.values import OwnPage, Practice, PractisedStep
from rehearse.paper.wording import counted, head_text, minute, verdict
from rehearse.safety import NOTICE

RECENT = 10  # tries of a step that count
WIDTH = 72  # letters on a line


@dataclass(frozen=True)
class Series:
    """The takes of one procedure, oldest first."""

    procedure: str
    title: str
    practices: tuple[Practice, ...]

    @property
    def last_share(self) -> float:
        """The share of steps said rightly in the last take, 0..1."""
        return share(self.practices[-1])


def share(practice: Practice) -> float:
    """The share of steps said rightly, 0..1; 0 for a take without steps."""
    return practice.said / practice.steps if practice.steps else 0.0


def series(page: OwnPage) -> tuple[Series, ...]:
    """The takes by procedure: the one with the lowest last share first."""
    found: defaultdict[str, list[Practice]] = defaultdict(list)
    for practice in sorted(page.practices, key=lambda one: (one.started, one.procedure)):
        found[practice.procedure].append(practice)
    every = [Series(name, takes[-1].title, tuple(takes)) for name, takes in found.items()]
    return tuple(sorted(every, key=lambda one: (one.last_share, one.procedure)))


def recent(step: PractisedStep) -> tuple[Verdict, ...]:
    """The verdicts that count, oldest first."""
    return step.verdicts[-RECENT:]


def strength(step: PractisedStep) -> float:
    """How likely the step is to be said rightly, 0..1, by its recent tries."""
    tries = recent(step)
    return (tries.count(Verdict.SAID) + 1) / (len(tries) + 2)


def weakest(page: OwnPage) -> tuple[PractisedStep, ...]:
    """Every tried step, weakest first; of equals the critical ones first, then by procedure."""
    tried = [step for step in page.steps if step.verdicts]
    return tuple(
        sorted(
            tried,
            key=lambda one: (strength(one), not one.critical, one.procedure, one.number),
        )
    )


def own_text(page: OwnPage) -> str:
    """The page as lines of text, ending in a line feed."""
    heading = page.heading
    made = f"{minute(heading, heading.made)} {heading.zone}"
    blocks = [
        _filled(f"Practice of {page.person.name} ({page.person.staff_number})"),
        _filled(f"{heading.operator}, {heading.aircraft}, {heading.revision}; made {made}"),
        _filled(f"Chain head {head_text(heading)}"),
        _filled(NOTICE),
        _over_time(page),
        _steps(page),
    ]
    return "\n\n".join(blocks) + "\n"


def _over_time(page: OwnPage) -> str:
    lines = ["Over time, the weakest procedure first"]
    for one in series(page):
        lines += ["", *_filled(f"{one.title} ({one.procedure})").splitlines()]
        lines += [_take(page, practice) for practice in one.practices]
    return "\n".join(lines) if len(lines) > 1 else f"{lines[0]}\n\nNo takes yet."


def _take(page: OwnPage, practice: Practice) -> str:
    filled = round(share(practice) * 20)
    bar = "#" * filled + "." * (20 - filled)
    kind = "oral check" if practice.checked else "practice"
    passed = "passed" if practice.passed else "not passed"
    said = f"{practice.said} of {practice.steps}"
    when = minute(page.heading, practice.started)
    return f"  {when}  {bar}  {said:>8}  {kind}, {passed}"


def _steps(page: OwnPage) -> str:
    lines = [f"Steps, weakest first (the last {RECENT} tries count)"]
    for place, step in enumerate(weakest(page), 1):
        lines += ["", *_step(place, step)]
    return "\n".join(lines) if len(lines) > 1 else f"{lines[0]}\n\nNo step was tried yet."


def _step(place: int, step: PractisedStep) -> list[str]:
    tries = recent(step)
    critical = ", critical" if step.critical else ""
    said = f"said {tries.count(Verdict.SAID)} of {counted(len(tries), 'time')}"
    missed = [one for one in tries if one is not Verdict.SAID]
    kinds = ", ".join(f"{missed.count(one)} {verdict(one)}" for one in Verdict if one in missed)
    return [
        *_filled(f"{place}. {step.say}", "    ").splitlines(),
        *_filled(f"{step.title}, step {step.number}{critical}", "    ", "    ").splitlines(),
        f"    {said}{': ' + kinds if kinds else ''}",
    ]


def _filled(text: str, later: str = "", first: str = "") -> str:
    return textwrap.fill(
        legible(text),
        WIDTH,
        initial_indent=first,
        subsequent_indent=later,
        drop_whitespace=True,
    )
