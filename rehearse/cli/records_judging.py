"""What the commands of `records` that judge do: overrule, remark, mark, agreement, sign."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from rehearse.cli.acting import acting
from rehearse.cli.common import PASSED, UNUSABLE, complain, say
from rehearse.cli.records_listing import blind_line
from rehearse.errors import RehearseError
from rehearse.events import Heard
from rehearse.judge.verdict import Verdict
from rehearse.record.place import takes_folder
from rehearse.record.take import Take
from rehearse.store import BlindTake


def overrule_(options: argparse.Namespace) -> int:
    """Put a verdict in place of the one that counts."""
    verdict = Verdict(options.verdict)
    with acting(options) as at:
        if options.correct:
            made = at.store.signing.correct(
                at.actor, options.result, options.step, verdict, options.reason, pin=at.pin
            )
        else:
            made = at.store.results.overrule(
                at.actor, options.result, options.step, verdict, options.reason
            )
        kind = "corrected" if made.after_seal else "overruled"
        say(f"{kind}: {made.step} was {made.was}, counts as {made.verdict}")
    return PASSED


def remark_(options: argparse.Namespace) -> int:
    """Add a remark."""
    with acting(options) as at:
        at.store.results.remark(at.actor, options.result, options.text, options.second)
        say(f"{options.result}: remark added")
    return PASSED


def mark_(options: argparse.Namespace) -> int:
    """Ask for a blind second marking, begin it, or hand it in."""
    verdicts = dict(_verdict(text) for text in options.verdict)
    if len(verdicts) < len(options.verdict):
        raise RehearseError("--verdict: a step is named twice; give each step one verdict")
    if not options.result:
        return _waiting(options)
    with acting(options) as at:
        if options.ask:
            at.store.marks.ask(at.actor, options.result, at.person(options.ask).id)
            say(f"{options.result}: {options.ask} is asked to mark it, and cannot see its marks")
            return PASSED
        blind = at.store.marks.begin(at.actor, options.result)
        if verdicts:
            at.store.marks.hand_in(at.actor, options.result, verdicts)
            say(f"{options.result}: your marks are handed in; the record is open to you again")
            return PASSED
        for text in _blind(blind, Path(options.takes) if options.takes else takes_folder()):
            say(text)
    return PASSED


def _waiting(options: argparse.Namespace) -> int:
    """What waits for somebody's second marks."""
    if options.ask or options.verdict:
        raise RehearseError("mark: name a RECORD, as 'records list' shows it")
    with acting(options) as at:
        found = at.store.marks.waiting(at.actor)
        people = at.everyone() if found else {}
        for take in found:
            say(blind_line(take, people, at.store.zone))
    if not found:
        say("nothing waits for your second marks")
    return PASSED


def _verdict(text: str) -> tuple[str, Verdict]:
    step, _, word = text.partition("=")
    try:
        return step, Verdict(word)
    except ValueError:
        known = ", ".join(Verdict)
        raise RehearseError(f"--verdict {text}: write STEP=VERDICT with one of {known}") from None


def _blind(blind: BlindTake, takes: Path) -> list[str]:
    """What a second marker needs to see, and nothing of the first marks."""
    first = f"{blind.result}: {blind.procedure} revision {blind.revision}"
    lines = [f"{first}; closed to you until you hand in your marks"]
    lines += [f"  {step}" for step in blind.steps]
    folder = takes / blind.take.folder if blind.take else None
    if folder is None or not folder.is_dir():
        return [
            *lines,
            f"the take's log is not in {takes}; 'rehearse records listen' for its sound",
        ]
    take = Take.open(folder)
    lines = [lines[0], *(f"  {step.id}: {step.say}" for step in take.procedure.steps)]
    said = [event for event in take.events if isinstance(event, Heard)]
    return [*lines, "heard:", *(f"  {one.start:.1f} s: {one.text}" for one in said)]


def agreement_(options: argparse.Namespace) -> int:
    """How far markers agree."""
    with acting(options) as at:
        found = at.store.marks.agreement(at.actor, options.result or None)
    if options.json:
        print(
            json.dumps(
                {
                    "takes": found.takes,
                    "steps": found.steps,
                    "agreed": found.agreed,
                    "kappa": found.kappa,
                    "low": found.low,
                    "high": found.high,
                }
            )
        )
        return PASSED
    say(f"{found.takes} takes marked twice, {found.steps} steps, {found.agreed:.1%} the same")
    if found.kappa is None:
        say("kappa is not defined: too few marks, or one verdict throughout")
    elif found.low is None or found.high is None:
        say(f"kappa {found.kappa:.2f}; too few takes for an interval")
    else:
        say(f"kappa {found.kappa:.2f}, 95 % interval {found.low:.2f} to {found.high:.2f}")
    return PASSED


def sign_(options: argparse.Namespace) -> int:
    """Seal records."""
    with acting(options) as at:
        warnings = at.store.signing.warnings(at.actor, options.result)
        if warnings and not options.anyway:
            for warning in warnings:
                complain(f"warning: {warning}")
            complain("nothing was signed; add --anyway to sign in spite of this")
            return UNUSABLE
        made = at.store.signing.sign(at.actor, options.result, at.pin)
        for warning in made.warnings:
            say(f"signed in spite of: {warning}")
        people = {at.store.results.get(at.actor, result).result.person for result in made.results}
        opened = [
            entry
            for person in sorted(people)
            for entry in at.store.retraining.entries(at.actor, person, still_open=True)
            if entry.result in made.results
        ]
        for entry in opened:
            say(f"not passed: {entry.element}; retraining {entry.id} is open")
        say(f"signed {len(made.results)}; chain head {at.store.head()}")
    return PASSED
