"""Advice on a drill that reads well but will be shouted, heard or judged badly."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from rehearse.book.advice import Advice
from rehearse.book.faults import Mark
from rehearse.book.fields import Placed
from rehearse.book.lint_steps import breath, words_of
from rehearse.book.model import Step
from rehearse.drill.files.draft import AnswerDraft, DrillDraft, StageDraft
from rehearse.drill.files.reader import as_drill, read_draft
from rehearse.drill.model import Outcome
from rehearse.drill.scoring.shouts import sayings
from rehearse.errors import Problem
from rehearse.events import Heard
from rehearse.judge.verdict import Verdict
from rehearse.language import Language, load
from rehearse.register.entries import Found

SOONEST = 1.0  # seconds from a cue to the first word; who is quicker has guessed
FASTEST = 4.0  # words a second that can be shouted and understood

# The codes of the advice, with what each is about.
ADVICE = {
    "answer-forbidden": "an answer that holds words which its stage forbids",
    "answer-missed": "a command that is not taken as itself, as a question",
    "answers-alike": "an answer that counts as another of its stage too",
    "branch-idle": "a branch that can never be taken",
    "cast-idle": "a member of the cast who never speaks",
    "fixed-times": "a drill whose cues all come at a fixed time",
    "grace-idle": "a grace where nothing is silenced",
    "limit-tight": "a limit that nobody can keep",
    "long-command": "a shouted command longer than a breath",
    "never-credited": "forbidden words that count as an answer",
    "one-word": "a command of a single word",
}


def lint_drill(path: Path) -> list[Problem]:
    """What is worth mending although the file is valid, in file order, for every position.

    Raises:
        BookError: the file has faults, perhaps only for one of its positions.
    """
    draft = read_draft(path)
    drill = as_drill(draft)
    positions = drill.positions if draft.position else ()
    drafts = [read_draft(path, position) for position in positions] or [draft]
    counts = _counting(load(drill.language).added(drill.lexicon))
    found = [problem for each in drafts for problem in _Lint(each, counts).problems()]
    return sorted(dict.fromkeys(found))


Counts = Callable[[str, str], bool]


def _counting(language: Language) -> Counts:
    """Whether the first words, shouted, count as the second."""

    @cache
    def counts(said: str, wanted: str) -> bool:
        found = sayings([Heard(0.0, 1.0, said)], [wanted], language)
        return any(one.verdict is Verdict.SAID for one in found)

    return counts


@dataclass(frozen=True)
class _Lint:
    draft: DrillDraft
    counts: Counts

    def problems(self) -> Iterator[Problem]:
        for stage in self.draft.stages:
            yield from self._idle(stage)
            for answer in stage.answers:
                yield from self._shouted(answer)
                yield from self._limits(answer)
            yield from self._mixed(stage)
        yield from self._cast()
        yield from self._known_by_heart()

    def _told(self, code: str, found: Found, key: str, fault: str, mend: str) -> Problem:
        field = ".".join(filter(None, (found.field, key)))
        return self._at(found.mark_of(key), Advice(code, field, fault, mend))

    def _shouted(self, answer: AnswerDraft) -> Iterator[Problem]:
        """A command counts as itself; words of the drill's own are short, but not too short."""
        step, found = answer.step, answer.found
        if not (found.one("command", instead=True) if step is None else step.command):
            return
        if not all(self.counts(placed.value, placed.value) for placed in answer.wordings):
            fault = "shouted word by word it is not taken as what it is"
            mend = "say it without a question, or set 'command: false'"
            yield self._told("answer-missed", found, "", fault, mend)
        for number, placed in enumerate(answer.wordings if step is None else ()):
            field = f"{found.field}.{f'also[{number}]' if number else 'say'}"
            if "louder" in found.values:
                for advice in breath(Step(answer.id, placed.value, command=True), field):
                    yield self._at(placed.mark, advice)
            if len(words_of(placed.value)) < 2:
                fault = "a command of one word is what noise or chatter can sound like"
                yield self._at(placed.mark, Advice("one-word", field, fault, "add a word to it"))

    def _at(self, mark: Mark, advice: Advice) -> Problem:
        return Problem(
            self.draft.path,
            mark.line,
            mark.column,
            advice.field,
            advice.fault,
            advice.mend,
            advice.code,
        )

    def _limits(self, answer: AnswerDraft) -> Iterator[Problem]:
        found = answer.found
        within, every = found.one("within", None), found.one("every", None)
        if within is not None and within < SOONEST:
            fault = f"nobody has understood a cue and begun to speak within {within:g} s"
            mend = f"give at least {SOONEST:g} s"
            yield self._told("limit-tight", found, "within", fault, mend)
        words = min((len(words_of(placed.value)) for placed in answer.wordings), default=0)
        if every is not None and every < words / FASTEST:
            fault = f"{words} words cannot be said every {every:g} s"
            mend = f"give at least {words / FASTEST:g} s"
            yield self._told("limit-tight", found, "every", fault, mend)

    def _mixed(self, stage: StageDraft) -> Iterator[Problem]:
        """One saying that would count as two things."""
        for answer in stage.answers:
            for other in stage.answers:
                if other is not answer and self._any(answer.wordings, other.wordings):
                    fault = f"who says '{answer.id}' has said '{other.id}' too"
                    mend = "let the words of one not hold those of the other"
                    yield self._told("answers-alike", answer.found, "", fault, mend)
            if self._any(answer.wordings, stage.never):
                fault = f"'{answer.id}' holds words that the stage forbids"
                mend = "write out under 'never' what is wrong as a whole"
                yield self._told("answer-forbidden", answer.found, "", fault, mend)
            if self._any(stage.never, answer.wordings):
                fault = f"what is forbidden counts as '{answer.id}'"
                mend = "forbid words that do not hold the command itself"
                yield self._told("never-credited", stage.found, "never", fault, mend)

    def _any(self, said: Sequence[Placed[str]], wanted: Sequence[Placed[str]]) -> bool:
        return any(self.counts(one.value, other.value) for one in said for other in wanted)

    def _idle(self, stage: StageDraft) -> Iterator[Problem]:
        for branch in stage.then:
            if branch.found.values.get("if") and not stage.outcomes & {*branch.on}:
                fault = f"the stage cannot end {' or '.join(branch.on)}"
                needs = "'never'" if Outcome.WRONG in branch.on else "'answers'"
                mend = f"give the stage {needs}, or take the branch out"
                yield self._told("branch-idle", branch.found, "if", fault, mend)
        if "grace" in stage.found.values and not stage.found.values.get("silences"):
            fault = "nothing is silenced that could have a grace"
            yield self._told("grace-idle", stage.found, "grace", fault, "take it out")

    def _cast(self) -> Iterator[Problem]:
        speaking = {stage.found.inner("cue").one("role") for stage in self.draft.stages}
        for role in self.draft.top.entries("cast"):
            if role.one("id") not in speaking:
                fault = f"'{role.one('id')}' never speaks"
                yield self._told("cast-idle", role, "id", fault, "take it out, or let it speak")

    def _known_by_heart(self) -> Iterator[Problem]:
        """A drill that is the same every time is answered from memory, not to its cues."""
        waits = [stage.cue.wait for stage in as_drill(self.draft).stages]
        if all(wait.low == wait.high for wait in waits):
            fault = "every cue comes at a fixed time, which is soon known by heart"
            mend = "let the seed draw when one comes, as 'wait: [3, 9]'"
            yield self._told("fixed-times", self.draft.top, "stages", fault, mend)
