"""What the command `check` does: state, draw, hear, record, and ask about what is unclear."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.check.filing import Sitting, consent, file_check
from rehearse.check.flow import waiting as waiting_steps
from rehearse.check.live import HOW, Typed, check_live
from rehearse.check.offline import check_heard, reopened
from rehearse.check.order import Draw, draw, new_seed
from rehearse.check.values import CheckedTake, Statement
from rehearse.cli.acting import Acting, acting, programme
from rehearse.cli.common import NOT_PASSED, PASSED, complain, device, say
from rehearse.cli.records_reading import whole
from rehearse.errors import RehearseError
from rehearse.events import Ended, Event, Heard, Partial, PromptStarted
from rehearse.hear.listener import listen
from rehearse.hear.recording import Recording
from rehearse.judge.assess import Assessor
from rehearse.judge.verdict import Verdict
from rehearse.language import load
from rehearse.programme.model import Element, Programme
from rehearse.record.place import takes_folder
from rehearse.safety import NOTICE
from rehearse.screen import waiting
from rehearse.session.engine import load_engine, load_readers
from rehearse.session.studio import Choices
from rehearse.session.words import read_words
from rehearse.store import NotAcceptedError, NotAllowedError, Operation, Result, allowed

Takes = Iterator[CheckedTake]


def check(options: argparse.Namespace) -> int:
    """Hold an oral check."""
    with acting(options) as at:
        plan = programme(options, at.store)
        element = _element(plan, options.element)
        candidate = at.person(options.candidate)
        _may_check(at, candidate.id)
        teacher = at.person(options.taught_by).id if options.taught_by else ""
        sitting = Sitting(candidate.id, element.id, teacher)
        typed = Typed(sys.stdin)
        if options.take:
            takes = _reopened(options.take)
        else:
            drawn = _drawn(options, element)
            if options.draw:
                say(f"seed {drawn.seed}: {' '.join(drawn.procedures)}")
                return PASSED
            takes = _heard(options, at, sitting, drawn, typed)
        status = PASSED
        for checked in takes:
            made = file_check(at.store, at.actor, sitting, checked, kept=bool(options.take))
            _decide(at, made, checked, typed)
            status = max(status, _tell(at, made, options))
    return status


def _may_check(at: Acting, candidate: str) -> None:
    """Refuse before anything is heard what the store would refuse after it."""
    operation = Operation.RECORD_CHECK
    if not allowed(at.actor.role, operation, own=candidate == at.actor.person):
        raise NotAllowedError(f"as {at.actor.role} you may not {operation} of this person")


def _element(plan: Programme, name: str) -> Element:
    try:
        found = plan.element(name)
    except KeyError:
        known = ", ".join(element.id for element in plan.elements)
        raise RehearseError(f"--element {name}: not in {plan.id}; it has {known}") from None
    if not found.allows("oral"):
        raise RehearseError(f"--element {name}: is checked by practice alone; name another element")
    return found


def _drawn(options: argparse.Namespace, element: Element) -> Draw:
    pool = options.procedure or list(element.procedures)
    if not pool:
        raise RehearseError(f"--element {element.id}: covers no procedure; name one by --procedure")
    strange = sorted(set(pool) - set(element.procedures)) if element.procedures else []
    if strange:
        known = ", ".join(element.procedures)
        raise RehearseError(f"--procedure {strange[0]}: not of {element.id}, which has {known}")
    return draw(pool, new_seed() if options.seed is None else options.seed, options.count)


def _reopened(folders: list[Path]) -> Takes:
    with waiting("loading the models"):
        readers = load_readers()

    def judge(procedure: Procedure) -> Assessor:
        return Assessor(procedure, readers, load(procedure.language))

    for folder in folders:
        yield reopened(folder, judge)


def _heard(
    options: argparse.Namespace, at: Acting, sitting: Sitting, drawn: Draw, typed: Typed
) -> Takes:
    procedures = [shelf.find(name) for name in drawn.procedures]
    files = options.words or options.audio
    if files and len(files) != len(procedures):
        raise RehearseError(
            f"{len(files)} files for {len(procedures)} procedures; give one for each, in the order "
            f"{' '.join(drawn.procedures)}"
        )
    given = _consented(options, at, sitting, typed)
    if given is not None:
        consent(at.store, at.actor, sitting.candidate, given=given)
    hear = _hearing(options, typed, _language(procedures))
    for place, procedure in enumerate(procedures, start=1):
        statement = Statement(sitting.candidate, bool(given), drawn, place)
        if not options.json:
            say(f"{place} of {len(procedures)}: {procedure.title}, seed {drawn.seed}")
        yield hear(procedure, statement, files[place - 1] if files else None)


def _language(procedures: Sequence[Procedure]) -> str:
    """The one language of the check. Raises RehearseError where there are several."""
    spoken = sorted({procedure.language for procedure in procedures})
    if len(spoken) > 1:
        raise RehearseError(
            f"the procedures drawn are in {' and '.join(spoken)}; check one language at a time, "
            "naming its procedures by --procedure"
        )
    return spoken[0]


def _consented(
    options: argparse.Namespace, at: Acting, sitting: Sitting, typed: Typed
) -> bool | None:
    """Who is before the instructor, and whether the sound may be kept: stated before anything.

    None when nobody was asked, for words have no sound to be kept.
    """
    if options.consent:
        return bool(options.consent == "yes")
    if options.words:
        return None
    if options.audio:
        raise RehearseError("--audio: say by --consent yes or no whether the sound may be kept")
    person = at.store.people.get(at.actor, sitting.candidate)
    say(NOTICE)
    if not _yes(typed, f"Is {person.name} ({person.staff_number}) before you? yes or no"):
        raise RehearseError("the candidate is not there; nothing was heard or recorded")
    say("Everybody in the room is to know that the microphone is on.")
    return _yes(typed, "May the candidate's voice be kept with the record? yes or no")


def _yes(typed: Typed, question: str) -> bool:
    while True:
        say(question)
        answer = (typed.next() or "").strip().lower()
        if answer in {"yes", "y", "no", "n"}:
            return answer.startswith("y")
        if typed.ended:
            raise RehearseError("no answer; nothing was recorded, say --consent yes or no")


def _hearing(
    options: argparse.Namespace, typed: Typed, spoken: str
) -> Callable[[Procedure, Statement, Path | None], CheckedTake]:
    """How each procedure is heard: at the microphone, from a recording, or from words."""
    takes = options.takes or takes_folder()
    with waiting("loading the models"):
        engine = None if options.words else load_engine(spoken)
        readers = engine.readers if engine else load_readers()

    def from_file(procedure: Procedure, statement: Statement, path: Path) -> CheckedTake:
        recording = None
        if engine is None:
            words = read_words(path)
            heard: list[Event] = [*words, Ended(words[-1].end, "end of recording")]
        else:
            recording = path
            with waiting(f"hearing {path}"):
                expected, language = engine.expectation(procedure), engine.language_of(procedure)
                heard = list(listen(Recording(path), engine.recogniser, expected, language))
        return check_heard(
            procedure,
            statement,
            Assessor(procedure, readers, load(procedure.language)),
            heard,
            takes=takes,
            started=datetime.now(UTC),
            recording=recording,
        )

    def hear(procedure: Procedure, statement: Statement, path: Path | None) -> CheckedTake:
        if path is not None or engine is None:
            return from_file(procedure, statement, path or Path())
        say(HOW)
        choices = Choices(
            headset=options.headset,
            takes=takes,
            microphone=device(options.microphone),
            loudspeaker=device(options.loudspeaker),
        )
        return check_live(
            procedure, statement, engine, choices, typed, show=CheckView(), tell=complain
        )

    return hear


@dataclass(frozen=True)
class CheckView:
    """Shows the instructor what is heard, as it is finished; no verdict before the end."""

    def __call__(self, event: Event) -> None:
        """Shows one event, if there is something to see."""
        match event:
            case Partial():
                pass
            case Heard(start=start, text=text):
                say(f"  {start:6.1f} s  {text}")
            case PromptStarted(text=text):
                say(f"  announced: {text}")


def _decide(at: Acting, made: Result, checked: CheckedTake, typed: Typed) -> None:
    """Ask the instructor about each unclear step; what is not answered waits in the record."""
    steps = waiting_steps(checked.result)
    if not steps or not sys.stdin.isatty():
        return
    for step in steps:
        found = checked.result.step(step)
        say(f"{step}: unclear: {checked.take.procedure.step(step).say}")
        say(f"  heard “{found.heard}”; {found.why}")
        while not _decided(at, made, step, typed):
            pass


def _decided(at: Acting, made: Result, step: str, typed: Typed) -> bool:
    """Whether the step was decided or left; what cannot be taken is asked for again."""
    say(f"  your verdict and reason, or nothing to leave it: {', '.join(_DECIDABLE)}")
    word, _, reason = (typed.next() or "").strip().partition(" ")
    if not word:
        say(f"  {step}: left unclear; 'rehearse records overrule' can decide it later")
        return True
    if word not in _DECIDABLE:
        complain(f"{step}: {word} is no verdict; begin with one of those above")
        return False
    try:
        at.store.results.overrule(at.actor, made.id, step, Verdict(word), reason.strip())
    except NotAcceptedError as error:
        complain(f"{step}: {error}")
        return False
    return True


_DECIDABLE = tuple(verdict.value for verdict in Verdict if verdict is not Verdict.UNCLEAR)


def _tell(at: Acting, made: Result, options: argparse.Namespace) -> int:
    record = at.store.results.get(at.actor, made.id)
    if options.json:
        print(json.dumps(whole(record, at.everyone()), ensure_ascii=False), flush=True)
    else:
        for step in made.steps:
            heard = f" “{step.heard}”" if step.heard else ""
            say(f"  {step.id}: {record.verdicts[step.id]}{heard} {step.why}")
        unclear = [step for step, v in record.verdicts.items() if v is Verdict.UNCLEAR]
        waits = f"; unclear, waits for you: {', '.join(unclear)}" if unclear else ""
        say(f"{made.id}: {'passed' if record.passed else 'not passed'}, not signed yet{waits}")
    return PASSED if record.passed else NOT_PASSED
