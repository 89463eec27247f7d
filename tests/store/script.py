"""The scripted day: 40 people, 3 instructors, 400 takes from words files, and what came of them."""

from __future__ import annotations

import json
import random
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.book.reader import read as read_procedure
from rehearse.check.filing import Sitting, consent, file_check
from rehearse.check.offline import check_heard
from rehearse.check.order import draw
from rehearse.check.past import past_results
from rehearse.check.values import Statement
from rehearse.events import Ended, Heard
from rehearse.judge.assess import passes as judged_passed
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.programme.past import read_past
from rehearse.programme.reader import read as read_programme
from rehearse.session.words import read_words
from rehearse.store import Actor, NewPerson, Person, Role, Store
from tests.store.ledger import Entry, passes
from tests.store.station import CHEAP, PIN, Clock

ROOT = Path(__file__).parents[2]
ZONE = "Europe/Helsinki"
DAY = date(2026, 10, 5)
RETRAINED = date(2026, 10, 6)
AGAIN = date(2026, 10, 7)
REVISED = date(2026, 10, 20)
AFTER = date(2026, 10, 21)
LEFT = date(2026, 10, 31)
UNCLEAR = "perhaps"  # before a step's words: our judge is then not sure of it


class PlainJudge:
    """A judge for a test: said when the step's own words were heard, unclear after `UNCLEAR`."""

    def __init__(self, procedure: Procedure) -> None:
        self._procedure = procedure
        self._heard: dict[str, Heard] = {}

    def add(self, heard: Heard) -> None:
        """Take in one more utterance."""
        self._heard[heard.text] = heard

    def result(self) -> Result:
        """The verdicts on what was heard so far."""
        steps = tuple(self._step(step.id, step.say) for step in self._procedure.steps)
        number = self._procedure.revision.number
        passed = judged_passed(self._procedure, steps)
        return Result(self._procedure.id, number, passed, steps, ())

    def _step(self, step: str, say: str) -> StepResult:
        verdicts = ((say, Verdict.SAID, 0.98), (f"{UNCLEAR} {say}", Verdict.UNCLEAR, 0.5))
        for text, verdict, probability in verdicts:
            if text in self._heard:
                heard = self._heard[text]
                return StepResult(step, verdict, probability, text, heard.start, heard.end, "so")
        return StepResult(step, Verdict.NOT_SAID, 0.01, "", None, None, "not heard")


@dataclass
class Script:
    """A store in which the day happens, and the ledger beside it."""

    store: Store
    clock: Clock
    folder: Path
    administrator: Actor
    people: dict[str, Person] = field(default_factory=dict)
    actors: dict[str, Actor] = field(default_factory=dict)
    ledger: list[Entry] = field(default_factory=list)
    second: list[tuple[str, str]] = field(default_factory=list)
    random: random.Random = field(default_factory=lambda: random.Random(5))

    def __post_init__(self) -> None:
        self.programme = read_programme(ROOT / "programmes" / "fellmark-air.yaml")
        stock = shelf.stock([ROOT / "procedures"]).procedures
        self.procedures = {procedure.id: procedure for procedure in stock}
        self.instructors = ("I1", "I2", "I3")
        self.trainees = tuple(f"T{number:02d}" for number in range(1, 41))
        self.takes = self.folder / "takes"

    def run(self) -> None:
        """The whole day and what follows from it in the weeks after."""
        self._enter_people()
        self._import_past()
        self._hear_everyone()
        self._mark_again()
        self._overrule()
        self._sign(DAY)
        self._retrain()
        self._check_again()
        self._revise()
        self._leave()

    def _enter_people(self) -> None:
        for number in (*self.instructors, *self.trainees):
            instructs = number in self.instructors
            new = NewPerson(
                number,
                f"Name of {number}",
                frozenset({Role.INSTRUCTOR if instructs else Role.TRAINEE}),
                () if instructs else ("C4",),
                () if instructs else ("tarn-240",),
            )
            self.people[number] = self.store.people.add(self.administrator, new)
            if instructs or number == "T01":
                self.store.people.set_pin(self.administrator, self.people[number].id, PIN)
                self.actors[number] = self.store.sign_in(number, PIN)

    def _import_past(self) -> None:
        """Older results: some still valid, some in their window, some run out, one failed."""
        lines = ["staff_number,element,date,method,outcome,examiner,remark"]
        for at, number in enumerate(self.trainees):
            if at % 4 == 3:
                continue
            day = date(2025, 6 + at % 6, 1 + at % 28)
            passed = "failed" if at == 8 else "passed"
            lines.append(f"{number},door-drills,{day},practical,{passed},I1,")
            lines.append(
                f"{number},door-by-hand-240,{date(2023, 9, 1 + at % 28)},practical,passed,X9,"
            )
            if at % 2:
                lines.append(
                    f"{number},evacuation-commands,2026-04-{1 + at % 28:02d},oral,passed,I2,"
                )
        path = self.folder / "past.csv"
        path.write_text("\n".join(lines) + "\n", "utf-8")
        ids = {number: person.id for number, person in self.people.items()}
        past = read_past(path, self.programme, DAY, ids.keys())
        made = self.store.results.record_past(
            self.administrator, past_results(past, ids, self.store.zone)
        )
        assert len(made) == len(past) == len(lines) - 1
        for line in lines[1:]:
            person, element, day_text, method, outcome, examiner, _ = line.split(",")
            day = date.fromisoformat(day_text)
            at_noon = datetime(day.year, day.month, day.day, 12, tzinfo=self.store.zone)
            self.ledger.append(
                Entry(
                    person,
                    element,
                    at_noon,
                    day,
                    outcome == "passed",
                    method=method,
                    examiner=examiner if examiner in ids else "",
                    past=True,
                )
            )

    def _hear_everyone(self) -> None:
        """Ten takes each: five of the doors, four of the emergency, one of the commands."""
        for at, number in enumerate(self.trainees):
            for element, count in (
                ("door-drills", 5), ("emergency-doors", 4), ("evacuation-commands", 1),
            ):  # fmt: skip
                pool = self.programme.element(element).procedures
                drawn = draw(pool, at, count)
                for place in range(1, count + 1):
                    examiner = self.instructors[at % 3]
                    teacher = self.instructors[at // 3 % 3]
                    statement = Statement(self.people[number].id, False, drawn, place)
                    procedure = self.procedures[drawn.procedures[place - 1]]
                    self.hear(number, element, procedure, examiner, teacher, statement=statement)

    def hear(
        self,
        number: str,
        element: str,
        procedure: Procedure,
        examiner: str,
        teacher: str = "",
        *,
        statement: Statement | None = None,
        on: date = DAY,
        spoil: bool = True,
    ) -> Entry:
        """One take: a words file is written, heard, judged and recorded."""
        wanted = self._wanted(procedure, spoil=spoil)
        words = self.folder / "words.jsonl"
        words.write_text("".join(self._lines(procedure, wanted)), "utf-8")
        heard = read_words(words)
        stated = statement or Statement(self.people[number].id, False, draw([procedure.id], 1), 1)
        begun = datetime(on.year, on.month, on.day, 5, tzinfo=UTC)
        started = begun + timedelta(seconds=45 * len(self.ledger))
        actor = self.actors[examiner]
        if stated.place == 1:
            consent(self.store, actor, stated.candidate, given=False)
        checked = check_heard(
            procedure,
            stated,
            PlainJudge(procedure),
            [*heard, Ended(heard[-1].end, "end of recording")],
            takes=self.takes,
            started=started,
        )
        teaches = self.people[teacher].id if teacher else ""
        made = file_check(self.store, actor, Sitting(stated.candidate, element, teaches), checked)
        entry = Entry(
            number, element, started, on, passes(procedure, wanted), procedure.id,
            procedure.revision.number, "oral", examiner, teacher, made.id, tool=dict(wanted),
            verdicts=dict(wanted),
        )  # fmt: skip
        self.ledger.append(entry)
        return entry

    def _wanted(self, procedure: Procedure, *, spoil: bool) -> dict[str, str]:
        """The verdicts that this take is to come to."""
        wanted = dict.fromkeys((step.id for step in procedure.steps), "said")
        if spoil:
            kind = self.random.random()
            step = self.random.choice(procedure.steps).id
            if kind < 0.08:
                wanted[step] = "not_said"
            elif kind < 0.16:
                wanted[step] = "unclear"
        return wanted

    @staticmethod
    def _lines(procedure: Procedure, wanted: dict[str, str]) -> list[str]:
        said = [step for step in procedure.steps if wanted[step.id] != "not_said"]
        return [
            json.dumps(
                {
                    "text": step.say if wanted[step.id] == "said" else f"{UNCLEAR} {step.say}",
                    "start": 5.0 * at,
                    "end": 5.0 * at + 3,
                }
            )
            + "\n"
            for at, step in enumerate(said)
        ]

    def _mark_again(self) -> None:
        """Every ninth take is marked by the next instructor, who has seen nothing of it."""
        for entry in self._checks()[::9]:
            marker = self.instructors[(self.instructors.index(entry.examiner) + 1) % 3]
            actor = self.actors[marker]
            self.store.marks.begin(actor, entry.result)
            marks = dict(entry.tool)
            if self.random.random() < 0.4:
                step = self.random.choice(list(marks))
                marks[step] = "wrong" if marks[step] == "said" else "said"
            given = {step: Verdict(word) for step, word in marks.items()}
            self.store.marks.hand_in(actor, entry.result, given)
            self.second += [(entry.tool[step], marks[step]) for step in marks]

    def _overrule(self) -> None:
        """What is unclear is decided, but for five takes; some omissions are let pass."""
        unclear = [e for e in self._checks() if "unclear" in e.tool.values()]
        omitted = [e for e in self._checks() if "not_said" in e.tool.values()]
        for entry in unclear[5:]:
            step = next(step for step, word in entry.tool.items() if word == "unclear")
            self._put(entry, step, self.random.choice(["said", "said", "not_said", "wrong"]))
        for entry in omitted[::4]:
            step = next(step for step, word in entry.tool.items() if word == "not_said")
            self._put(entry, step, "said")

    def _put(self, entry: Entry, step: str, word: str) -> None:
        self.store.results.overrule(
            self.actors[entry.examiner], entry.result, step, Verdict(word), f"{word}, as I heard"
        )
        entry.overruled.append((step, entry.verdicts[step], word))
        entry.verdicts[step] = word
        entry.passed = passes(self.procedures[entry.procedure], entry.verdicts)

    def _sign(self, on: date) -> None:
        """One signature for each candidate's checks of the day."""
        for number in self.trainees:
            own = [
                e
                for e in self._checks()
                if (e.person, e.day, e.signed) == (number, on, False)
                and "unclear" not in e.verdicts.values()
            ]
            if own:
                actor = self.actors[own[0].examiner]
                results = [entry.result for entry in own]
                warned = self.store.signing.warnings(actor, results)
                assert bool(warned) == (own[0].examiner == own[0].teacher)
                self.store.signing.sign(actor, results, PIN)
                for entry in own:
                    entry.signed = True

    def _retrain(self) -> None:
        """The next day, two of three who failed something are trained again."""
        self.clock.now = datetime(2026, 10, 6, 9, tzinfo=UTC)
        actor = self.actors["I2"]
        for at, entry in enumerate(self.store.retraining.entries(actor, still_open=True)):
            if at % 3:
                self.store.retraining.close(actor, entry.id, "drill repeated with I2")
                failed = next(e for e in self.ledger if e.result == entry.result)
                failed.retrained = RETRAINED

    def _check_again(self) -> None:
        """The day after, every second of them says the failed procedure again, and well."""
        self.clock.now = datetime(2026, 10, 7, 9, tzinfo=UTC)
        for entry in [e for e in self.ledger if e.retrained][::2]:
            procedure = self.procedures[entry.procedure]
            self.hear(entry.person, entry.element, procedure, "I3", on=AGAIN, spoil=False)
        self._sign(AGAIN)

    def _revise(self) -> None:
        """A procedure is revised, and five people are checked on its new revision."""
        self.clock.now = datetime(2026, 10, 21, 9, tzinfo=UTC)
        old = self.procedures["arm-door-2l"]
        assert old.path is not None
        text = old.path.read_text("utf-8")
        new = text.replace(
            "{number: 3, effective: 2026-10-01", f"{{number: 4, effective: {REVISED}"
        )
        assert new != text
        path = self.folder / "arm-door-2l.yaml"
        path.write_text(new, "utf-8")
        self.procedures["arm-door-2l"] = read_procedure(path)
        for number in self.trainees[10:15]:
            self.hear(number, "door-drills", self.procedures["arm-door-2l"], "I1",
                      on=AFTER, spoil=False)  # fmt: skip
        self._sign(AFTER)

    def _leave(self) -> None:
        self.store.people.leave(self.administrator, self.people["T40"].id, LEFT)

    def _checks(self) -> list[Entry]:
        return [entry for entry in self.ledger if not entry.past]


def begin(url: str, folder: Path) -> Script:
    """A new store with its administrator, early on the day."""
    clock = Clock(datetime(2026, 10, 5, 4, tzinfo=UTC))
    store = Store.create(
        url,
        station="east",
        zone=ZONE,
        administrator=NewPerson("A1", "Ada Mark", frozenset({Role.ADMINISTRATOR})),
        pin=PIN,
        clock=clock,
        cost=CHEAP,
    )
    return Script(store, clock, folder, store.sign_in("A1", PIN))
