"""What must hold of every credited step: denials cost it its credit, fillers and names do not."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.model import Procedure, Step
from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import StepResult, Verdict
from rehearse.language.english import English

ENGLISH = English()
# What opens a sentence that is no order: "never the hood lasts ..." denies nothing.
NO_ORDER = frozenset(
    "a both c1 c7 do during each gas if in it my never nobody on once".split()
    + "the there they two when".split()
)
CORPUS = Path(__file__).parents[1] / "corpus" / "steps"
# Of procedures with cases in the corpus; `rehearse bench rehearsal` tries every one there is.
STEPS = {
    step.say: (procedure, step)
    for procedure in all_procedures([SHIPPED])
    if (CORPUS / f"{procedure.id}.jsonl").exists()
    for step in procedure.steps
    if "not" not in step.say.lower().split()
}  # each sentence once, however many doors have it
CASES = [
    (procedure, step)
    for procedure, step in STEPS.values()
    if step.critical and not step.command and step.say.lower().split()[0] not in NO_ORDER
]
COMMANDS = [(procedure, step) for procedure, step in STEPS.values() if step.command]
PARTICIPLES = {"hold": "held", "let": "let", "put": "put", "shut": "shut", "cut": "cut",
               "read": "read", "keep": "kept", "send": "sent", "tell": "told", "take": "taken",
               "go": "gone", "leave": "left", "stay": "stayed", "lay": "laid",
               "begin": "begun", "get": "got", "give": "given", "make": "made", "sit": "sat",
               "stand": "stood", "stop": "stopped", "throw": "thrown"}  # fmt: skip
DENIALS = (
    "never {bare}",
    "i never {bare}",
    "do not {bare}",
    "i don't {bare}",
    "we will not {bare}",
    "i am not going to {bare}",
    "i forgot to {bare}",
    "nobody {third}",
    "none of us {third}",
    "i would have {done}",
    "i should have {done}",
    "i was going to {bare}",
    "without {doing}",
    "instead of {doing}",
    "there is no need to {bare}",
    "{bare} no not yet",
    "{bare} no i did not",
    "{bare} but that is wrong",
)
COMMAND_DENIALS = (
    "never say {0}",
    "i never shout {0}",
    "not yet {0}",
    "nobody shouts {0}",
    "my colleague calls {0}",
    "c five says {0}",
    "i would have called {0}",
    "i forgot to call {0}",
    "without calling {0}",
    "do not call {0}",
    "{0} no it is not",
    "{0} not yet",
    "{0} no that is wrong",
)
HESITATIONS = ("um", "uh", "er", "erm", "hmm")
FILLERS = (*HESITATIONS, "well", "okay", "you know", "let me see", "so yeah")
# The fixtures hold nothing that one example could leave behind for the next.
shared = settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)


@lru_cache(maxsize=100)
def assessor_of(procedure: Procedure, readers: Readers) -> Assessor:
    """A judge of the procedure; preparing one takes longer than asking it."""
    return Assessor(procedure, readers, ENGLISH)


def judged(procedure: Procedure, step: Step, text: str, readers: Readers) -> StepResult:
    """The result of one step when one thing is said."""
    assessor = assessor_of(procedure, readers)
    assessor.restart()
    assessor.add(Heard(0.0, max(1.0, len(text.split()) / 2.5), text))
    return assessor.result().step(step.id)


def said(step: Step) -> str:
    """The step as a recogniser prints it."""
    return step.say.lower().replace("!", "").replace(",", "").replace(".", "")


def denied(step: Step, form: str) -> str:
    """The step's sentence denied in the given way."""
    verb, _, rest = said(step).partition(" ")
    stem = verb[:-1] if verb.endswith("e") else verb
    done = PARTICIPLES.get(verb, f"{stem}ed")
    third = f"{verb}es" if verb.endswith(("s", "sh", "ch", "x", "z", "o")) else f"{verb}s"
    ing = f"{stem}t" if verb in {"let", "put", "shut", "cut"} else stem
    return form.format(
        bare=f"{verb} {rest}",
        third=f"{third} {rest}",
        done=f"{done} {rest}",
        doing=f"{ing}ing {rest}",
    )


@pytest.mark.parametrize("form", DENIALS)
def test_a_denied_critical_step_is_never_credited(form: str, rule: Readers) -> None:
    """However a critical step is denied, even a reader that sees words alone credits none."""
    credited = [
        denied(step, form)
        for procedure, step in CASES
        if judged(procedure, step, denied(step, form), rule).verdict is Verdict.SAID
    ]
    assert credited == []
    assert len(CASES) > 30


@pytest.mark.parametrize("form", COMMAND_DENIALS)
def test_a_denied_command_is_never_credited(form: str, rule: Readers) -> None:
    """However a command is denied or given to another, it is not credited."""
    credited = [
        form.format(said(step))
        for procedure, step in COMMANDS
        if judged(procedure, step, form.format(said(step)), rule).verdict is Verdict.SAID
    ]
    assert credited == []


def test_what_is_denied_above_is_credited_plainly(rule: Readers) -> None:
    """Without the denial every one of those steps and commands is said."""
    lost = [
        said(step)
        for procedure, step in (*CASES, *COMMANDS)
        if judged(procedure, step, said(step), rule).verdict is not Verdict.SAID
    ]
    assert lost == []


@shared
@given(case=st.sampled_from(CASES + COMMANDS), data=st.data())
def test_fillers_never_worsen_a_saying(
    case: tuple[Procedure, Step], data: st.DataObject, rule: Readers
) -> None:
    """Hesitations anywhere in a rightly said step, and fillers around it, leave it said."""
    procedure, step = case
    words = said(step).split()
    for _ in range(data.draw(st.integers(0, 3))):
        at = data.draw(st.integers(0, len(words)))
        words.insert(at, data.draw(st.sampled_from(HESITATIONS)))
    around = [data.draw(st.sampled_from(("", *FILLERS))) for _ in range(2)]
    text = " ".join([around[0], *words, around[1]])
    assert judged(procedure, step, text, rule).verdict is Verdict.SAID


@shared
@given(case=st.sampled_from(CASES + COMMANDS), data=st.data())
def test_leaving_words_out_never_raises_the_credit(
    case: tuple[Procedure, Step], data: st.DataObject, rule: Readers
) -> None:
    """The fewer of a step's words are said, the less the step is credited."""
    procedure, step = case
    words = said(step).split()
    more = sorted(data.draw(st.sets(st.integers(0, len(words) - 1), min_size=1)))
    fewer = sorted(data.draw(st.sets(st.sampled_from(more))))
    full, part = (
        judged(procedure, step, " ".join(words[i] for i in kept), rule) for kept in (more, fewer)
    )
    assert part.verdict is not Verdict.SAID or full.verdict in {Verdict.SAID, Verdict.UNCLEAR}


@shared
@given(case=st.sampled_from(CASES + COMMANDS), form=st.sampled_from(DENIALS), data=st.data())
def test_names_of_steps_mean_nothing(
    case: tuple[Procedure, Step], form: str, data: st.DataObject, rule: Readers
) -> None:
    """Whatever the ids of the procedure and its steps, the verdicts are the same."""
    procedure, step = case
    names = data.draw(st.permutations([f"step-{number}" for number in range(len(procedure.steps))]))
    new = dict(zip((s.id for s in procedure.steps), names, strict=True))
    renamed = replace(
        procedure,
        id="another",
        steps=tuple(
            replace(
                s,
                id=new[s.id],
                after=None if s.after is None else tuple(new[a] for a in s.after),
            )
            for s in procedure.steps
        ),
    )
    text = data.draw(st.sampled_from([said(step), denied(step, form), said(procedure.steps[0])]))
    before = judged(procedure, step, text, rule)
    after = judged(renamed, replace(step, id=new[step.id]), text, rule)
    assert (after.verdict, after.why, after.heard) == (before.verdict, before.why, before.heard)
