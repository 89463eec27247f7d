"""What a drill was scored as, beside what was put into it. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rehearse.bench.drill_cases import Case, Fault
from rehearse.bench.shouting import Said
from rehearse.drill.values import Answered, DrillResult, Kind, Shout
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured


@dataclass(frozen=True)
class Pair:
    """A value as it was put in and as it was measured. stated: the error that it came with."""

    truth: float
    measured: float
    stated: float

    @property
    def error(self) -> float:
        """Measured less truth."""
        return self.measured - self.truth


@dataclass(frozen=True)
class Beside:
    """One drill, scored.

    fault: what the trainee did wrong. snr: dB, None for clean.
    right, recognised: right sayings, and those of them found as such.
    wrong, accepted: wrong, broken off and stale sayings, and those taken for the answer.
    counted, invented: shouts counted as answers, and those of them at which nothing was said that
        another shout was not found for.
    answers, credited: answers never rightly given, and those of them called said.
    later: reactions taken from a later saying, because the first right one was not recognised.
    reactions (seconds), levels (dB over the calm voice), changes (dB from the first right saying
    of the answer), rates (sayings a minute): only of what was recognised.
    odd: what went wrong, a line each.
    """

    number: int
    voice: str
    snr: float | None
    fault: Fault
    right: int
    recognised: int
    wrong: int
    accepted: int
    counted: int
    invented: int
    answers: int
    credited: int
    later: int
    reactions: tuple[Pair, ...]
    levels: tuple[Pair, ...]
    changes: tuple[Pair, ...]
    rates: tuple[Pair, ...]
    odd: tuple[str, ...]


def beside(case: Case, voice: str, sayings: Sequence[Said], result: DrillResult) -> Beside:
    """The result of the case beside the truth.

    A right saying is recognised when a shout that counts for its answer lies over its middle; any
    other is accepted when a shout that counts for any answer does.
    """
    shouts = [shout for shout in result.shouts if shout.kind is Kind.ANSWER]
    right = [(said, _over(said, shouts, said.answer)) for said in sayings if said.right]
    wrong = [(said, _over(said, shouts)) for said in sayings if not said.right]
    found = [(said, shout) for said, shout in right if shout is not None]
    invented = [s for s in shouts if all(s is not shout for _, shout in (*right, *wrong))]
    answers = {answer.answer: answer for stage in result.stages for answer in stage.answers}
    never = {f"{word.id}.call" for word in case.wordings} - {said.answer for said, _ in right}
    credited = [n for n in never if n in answers and answers[n].verdict is Verdict.SAID]
    timed = _Timed(right, result, answers)
    return Beside(
        case.number,
        voice,
        case.snr,
        case.fault,
        len(right),
        len(found),
        len(wrong),
        sum(shout is not None for _, shout in wrong),
        len(shouts),
        len(invented),
        len(never),
        len(credited),
        timed.later,
        tuple(timed.reactions()),
        tuple(_pairs((said.gain, shout.level) for said, shout in found)),
        tuple(_changes(found)),
        tuple(timed.rates()),
        (
            *(
                f"not recognised: {_told(said, result.shouts)}"
                for said, shout in right
                if not shout
            ),
            *(f"accepted: {_told(said, result.shouts)}" for said, shout in wrong if shout),
            *(f"invented: {s.text!r} from {s.start:.2f} to {s.end:.2f} s" for s in invented),
            *(f"credited without being said: {name}" for name in credited),
        ),
    )


@dataclass(frozen=True)
class _Timed:
    """The times of one drill. right: every right saying with the shout it was found as."""

    right: Sequence[tuple[Said, Shout | None]]
    result: DrillResult
    answers: dict[str, Answered]

    @property
    def later(self) -> int:
        """See `Beside`."""
        return sum(
            said[0][1] is None and any(shout for _, shout in said) for _, said in self._by_answer()
        )

    def reactions(self) -> Iterator[Pair]:
        """From the cue as the drill gave it to the first right saying."""
        cues = {stage.id: stage.cue for stage in self.result.stages}
        for name, said in self._by_answer():
            cue = cues.get(name.split(".")[0])
            if cue is not None and said[0][1] is not None:
                yield from _pairs([(said[0][0].start - cue, self.answers[name].reaction)])

    def rates(self) -> Iterator[Pair]:
        """Of answers said at least twice, each time recognised."""
        for name, said in self._by_answer():
            if len(said) > 1 and all(shout for _, shout in said):
                seconds = said[-1][0].start - said[0][0].start
                truth = 60 * (len(said) - 1) / seconds
                yield from _pairs([(truth, self.answers[name].rate)])

    def _by_answer(self) -> Iterator[tuple[str, list[tuple[Said, Shout | None]]]]:
        for name in dict.fromkeys(said.answer for said, _ in self.right):
            if name in self.answers:
                yield name, [(said, shout) for said, shout in self.right if said.answer == name]


def _over(said: Said, shouts: Sequence[Shout], answer: str = "") -> Shout | None:
    """The shout that was made of a saying, of this answer or of any."""
    middle = (said.start + said.end) / 2
    over = (s for s in shouts if s.start <= middle <= s.end and answer in ("", s.answer))
    return next(over, None)


def _changes(found: Sequence[tuple[Said, Shout]]) -> Iterator[Pair]:
    """Level of each right saying after the first of its answer, less that of the first."""
    first: dict[str, tuple[Said, Shout]] = {}
    for said, shout in found:
        begun, loud = first.setdefault(said.answer, (said, shout))
        if begun is not said and shout.level.value is not None and loud.level.value is not None:
            change = shout.level.value - loud.level.value
            yield Pair(said.gain - begun.gain, change, shout.level.error + loud.level.error)


def _pairs(values: Iterable[tuple[float, Measured]]) -> Iterator[Pair]:
    """Those that could be measured."""
    for truth, measured in values:
        if measured.value is not None:
            yield Pair(truth, measured.value, measured.error)


def _told(said: Said, shouts: Sequence[Shout]) -> str:
    """A saying and all that was heard while it lasted."""
    heard = [
        f"{shout.kind.value} {shout.text!r} {shout.why}".strip()
        for shout in shouts
        if shout.start < said.end and said.start < shout.end
    ]
    return f"{said.text!r} at {said.start:.2f} s, heard: {'; '.join(heard) or 'nothing'}"
