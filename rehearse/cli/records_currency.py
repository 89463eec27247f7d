"""What the commands of `records` about what is due do: due, import, practice, retraining."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path

from rehearse.book import shelf
from rehearse.check.filing import new_result, take_reference
from rehearse.check.flow import HELP_OFF
from rehearse.check.past import past_results
from rehearse.cli.acting import acting, day, programme
from rehearse.cli.common import PASSED, complain, say
from rehearse.cli.records_reading import named
from rehearse.errors import RehearseError
from rehearse.programme.currency import Standing, revisions_of
from rehearse.programme.past import not_counting, read_past
from rehearse.programme.sweep import sweep
from rehearse.screen import waiting
from rehearse.store import Kind

WORDS = {
    "blocked": "retraining open",
    "failed": "not passed",
    "never": "not yet checked",
    "overdue": "overdue",
    "stale": "revision changed",
    "due": "due this month",
    "in_window": "in its window",
}


def due_(options: argparse.Namespace) -> int:
    """What is due, and for whom."""
    with acting(options) as at:
        on = day(options.on, "--on") if options.on else at.today
        plan = programme(options, at.store)
        person = at.person(options.person).id if options.person else None
        columns = at.store.currency.columns(at.actor, plan.elements, person)
        found = sweep(columns, on, revisions_of(shelf.stock().procedures)).due()
        names = {each.staff: each.name for each in columns.people}
    for each in found:
        if options.json:
            row = {**asdict(each), "name": names[each.staff]}
            print(json.dumps(row, ensure_ascii=False, default=str))
        else:
            say(_due_line(each, names[each.staff]))
    if not options.json:
        example = "; example programme" if plan.example else ""
        say(f"{len(found)} to be done on {on}, {plan.id}{example}")
    return PASSED


def _due_line(each: Standing, name: str) -> str:
    until = f"valid until {each.valid_until}" if each.valid_until else "never valid"
    stale = f"; revised: {', '.join(each.stale)}" if each.stale else ""
    return f"{WORDS[each.state]}: {each.staff} {name}, {each.element}, {until}{stale}"


def import_(options: argparse.Namespace) -> int:
    """Take over past results."""
    with acting(options) as at:
        plan = programme(options, at.store)
        people = at.store.people.all(at.actor, left=True)
        ids = {person.staff_number: person.id for person in people if person.staff_number}
        past = read_past(Path(options.file), plan, at.today, ids.keys())
        new = past_results(past, ids, at.store.zone)
        made = at.store.results.record_past(at.actor, new)
    say(f"{len(made)} recorded, {len(past) - len(made)} were there before")
    for each in not_counting(past, plan):
        complain(
            f"{options.file}:{each.line}: kept but does not count, as {each.result.element} "
            f"is not checked by a {each.result.method} check"
        )
    return PASSED


def practice_(options: argparse.Namespace) -> int:
    """Record practice takes that were kept."""
    with acting(options) as at:
        person = at.person(options.person).id if options.person else at.actor.person
        from rehearse.record.take import Take
        from rehearse.session.score import Scorer

        takes = [Take.open(Path(folder)) for folder in options.take]
        for take in takes:
            if take.header.help == HELP_OFF:
                raise RehearseError(f"{take.folder}: an oral check's take; 'rehearse check --take'")
        with waiting("loading the models") as told:
            scorer = Scorer(None, with_sound=False)
            told("judging")
            reports = [scorer.report("take", take.folder) for take in takes]
        for take, report in zip(takes, reports, strict=True):
            new = new_result(
                take, report.result, take_reference(take), person=person, kind=Kind.PRACTICE
            )
            made = at.store.results.record(at.actor, new)
            say(f"{made.id}: {made.procedure}, {'passed' if made.passed else 'not passed'}")
    return PASSED


def retrain_list_(options: argparse.Namespace) -> int:
    """Retraining entries."""
    with acting(options) as at:
        people = at.everyone()
        person = at.person(options.person).id if options.person else None
        if person is None and at.actor.role == "trainee":
            person = at.actor.person
        for entry in at.store.retraining.entries(at.actor, person, still_open=options.open):
            failed = entry.failed_at.astimezone(at.store.zone).date()
            state = "open"
            if entry.closed_at is not None:
                state = f"closed by {named(people, entry.closed_by)}: {entry.how}"
            void = ", void" if entry.void else ""
            say(f"{entry.id}  {named(people, entry.person)}  {entry.element}, failed {failed}, "
                f"record {entry.result}, {state}{void}")  # fmt: skip
    return PASSED


def retrain_close_(options: argparse.Namespace) -> int:
    """Close a retraining entry."""
    with acting(options) as at:
        entry = at.store.retraining.close(at.actor, options.entry, options.how)
        say(f"{entry.id}: closed; later passes of {entry.element} count again")
    return PASSED
