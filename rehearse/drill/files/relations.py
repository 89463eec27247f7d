"""What must hold between the entries of a drill: ids, who speaks, what follows, what is asked."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.book.faults import Faults, shown
from rehearse.book.ids import Named, known, once
from rehearse.book.relations import plain
from rehearse.drill.files.draft import AnswerDraft, StageDraft
from rehearse.drill.model import END, Stage
from rehearse.register.entries import Found


def check(top: Found, stages: Sequence[StageDraft], faults: Faults) -> None:
    """Tell every entry that contradicts another; what could not be read is passed over."""
    cast = top.entries("cast")
    for entries in (cast, [stage.found for stage in stages]):
        once([Named(e.one("id"), e.mark_of("id"), f"{e.field}.id") for e in entries], faults)
    for stage in stages:
        if stage.id == END:
            fault = f"'{END}' is how branches name the end of the drill"
            field = f"{stage.found.field}.id"
            faults.add(stage.found.mark_of("id"), field, fault, "give the stage another id")
        once(
            [Named(each.id, each.id_mark, f"{each.found.field}.id") for each in stage.answers],
            faults,
        )
        _cue(stage.found.inner("cue"), [role.one("id") for role in cast], faults)
        _words(stage, faults)
        for answer in stage.answers:
            _demands(answer, stage, faults)
    _silences(stages, faults)
    _ways(stages, faults)


def _cue(cue: Found, cast: Sequence[str], faults: Faults) -> None:
    role, says = "role" in cue.values, "says" in cue.values
    if not role and not says and "sound" not in cue.values:
        faults.add(cue.mark, cue.field, "nothing is heard", "add 'sound', or 'role' and 'says'")
    if role != says:
        missing = "says" if role else "role"
        mend = f"add '{missing}: ...': who speaks, and their words, go together"
        faults.add(cue.mark, f"{cue.field}.{missing}", "the key is missing", mend)
    if "holds" in cue.values and "sound" not in cue.values:
        fault = "there is no sound that could go on"
        faults.add(cue.mark_of("holds"), f"{cue.field}.holds", fault, "add 'sound', or take it out")
    who = Named(cue.one("role"), cue.mark_of("role"), f"{cue.field}.role")
    known(who, cast, "member of the cast", faults)


def _words(stage: StageDraft, faults: Faults) -> None:
    """No words mean two answers, and none are both asked for and forbidden."""
    accepted: dict[str, AnswerDraft] = {}
    for answer in stage.answers:
        for placed in answer.wordings:
            other = accepted.setdefault(plain(placed.value), answer)
            if other is not answer:
                fault = f"{shown(placed.value)} also counts as '{other.id}'"
                mend = "let one saying count as one answer: take the words out of one of them"
                faults.add(placed.mark, answer.found.field, fault, mend)
    for placed in stage.never:
        wanted = accepted.get(plain(placed.value))
        if wanted is not None:
            fault = f"{shown(placed.value)} is what '{wanted.id}' asks for"
            mend = "keep it among the answers or under 'never', not both"
            faults.add(placed.mark, f"{stage.found.field}.never", fault, mend)


def _demands(answer: AnswerDraft, stage: StageDraft, faults: Faults) -> None:
    """The numbers of one answer fit each other and its stage."""
    found = answer.found
    every, lasts = found.one("every", None), found.one("lasts", None)
    louder, calmer = found.one("louder", None), found.one("calmer", None)
    if (every is None) != (lasts is None):
        here, missing = ("every", "lasts") if lasts is None else ("lasts", "every")
        mend = f"add '{missing}', or take '{here}' out"
        fault = "how often and how long go together"
        faults.add(found.mark_of(here), f"{found.field}.{here}", fault, mend)
    elif every is not None and every >= lasts:
        fault = f"what is said every {every:g} s is not said again within {lasts:g} s"
        mend = "make 'lasts' longer than 'every', or take both out"
        faults.add(found.mark_of("every"), f"{found.field}.every", fault, mend)
    if louder is not None and calmer is not None and louder > calmer:
        fault = f"no voice is louder than {louder:g} dB and calmer than {calmer:g} dB"
        mend = "correct one of them, or take it out"
        faults.add(found.mark_of("louder"), f"{found.field}.louder", fault, mend)
    needed = found.one("within", 0.0) + (lasts or 0.0)
    until = stage.found.one("until", Stage.gives_up)
    if needed > until:
        fault = f"'{answer.id}' may take {needed:g} s, but the stage is over after {until:g} s"
        mark = stage.found.mark_of("until")
        faults.add(mark, f"{stage.found.field}.until", fault, f"write at least {needed:g}")


def _silences(stages: Sequence[StageDraft], faults: Faults) -> None:
    answers = {f"{stage.id}.{each.id}": each for stage in stages for each in stage.answers}
    for stage in stages:
        asked = {plain(w.value) for answer in stage.answers for w in answer.wordings}
        for number, placed in enumerate(stage.found.values.get("silences", ()), start=1):
            field = f"{stage.found.field}.silences[{number}]"
            known(Named(placed.value, placed.mark, field), answers, "answer", faults)
            silenced = answers.get(placed.value)
            words = {plain(w.value) for w in silenced.wordings} if silenced else set()
            if words & asked:
                fault = f"the stage asks for the words of {placed.value} itself"
                faults.add(placed.mark, field, fault, "take it out of one of the two")


def _ways(stages: Sequence[StageDraft], faults: Faults) -> None:
    """Every branch leads somewhere, every stage may come, and the drill comes to an end."""
    ids = [*(stage.id for stage in stages), END]
    for stage in stages:
        for branch in stage.then:
            to = Named(branch.to, branch.found.mark_of("to"), f"{branch.found.field}.to")
            known(to, ids, "stage", faults)
    if not all(stage.id for stage in stages) or faults:
        return  # who is named by nobody is not known
    follows = {stage.id: stage.follows for stage in stages}
    leads = {to: {of for of in follows if to in follows[of]} for to in ids}
    reached = _spread({stages[0].id}, follows)
    ending = _spread({END}, leads)
    for stage in stages:
        mark, field = stage.found.mark_of("id"), stage.found.field
        if stage.id not in reached:
            mend = "name it in the 'then' of another stage, or take it out"
            faults.add(mark, field, "nothing leads to this stage", mend)
        elif stage.id not in ending:
            mend = f"let a branch of it, or of what follows it, lead to '{END}'"
            faults.add(mark, field, "from this stage the drill never ends", mend)


def _spread(start: set[str], ways: dict[str, frozenset[str]] | dict[str, set[str]]) -> set[str]:
    """Everything that can be reached."""
    reached, waiting = set(start), list(start)
    while waiting:
        for each in ways.get(waiting.pop(), ()):
            if each not in reached:
                reached.add(each)
                waiting.append(each)
    return reached
