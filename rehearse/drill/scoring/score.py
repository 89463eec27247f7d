"""The result of a run, from its kept take alone: the same take always gives the same result."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from rehearse.drill.model import Stage
from rehearse.drill.scoring.answered import Timing, answers
from rehearse.drill.scoring.cries import Cry, Measuring, neighbours
from rehearse.drill.scoring.kinds import shouted, sort
from rehearse.drill.scoring.meant import Meanings, Meant, nothing_meant
from rehearse.drill.scoring.shouts import Said, sayings
from rehearse.drill.scoring.telling import Telling
from rehearse.drill.scoring.visits import Visit, during, visits
from rehearse.drill.scoring.voice import drop, share_clipped, shouts, strain
from rehearse.drill.values import Answered, DrillResult, Kind, Run, Shout, Staged
from rehearse.events import Ended, Heard
from rehearse.hear.recogniser import Sound
from rehearse.judge.verdict import Verdict
from rehearse.language import Language
from rehearse.measured import Measured

NOTHING_TO_STOP = Measured(None, 0.0, "nothing had to stop")


def score(run: Run, sound: Sound, language: Language, meant: Meant = nothing_meant) -> DrillResult:
    """How a drill was done.

    sound: all that was heard in the run, mono at 16 kHz; empty when it was not kept.
    language: with the operator's own words. meant: judges the answers that are no commands.

    Raises:
        RehearseError: the language has no words for drills, or a judge cannot be loaded.
    """
    return _Scoring(run, sound, language, meant).result()


class _Scoring:
    def __init__(self, run: Run, sound: Sound, language: Language, meant: Meant) -> None:
        self._run = run
        self._language = language
        self._meant = meant
        self._telling = Telling(run.drill.language)
        self._measuring = Measuring(run, sound)
        self._visits = visits(run)
        self._timing = Timing(run.latency, self._measuring.lost, run.calm.value is not None)

    def result(self) -> DrillResult:
        run = self._run
        cries = self._cries()
        staged = tuple(self._staged(at, visit, cries) for at, visit in enumerate(self._visits))
        calm = frozenset(
            f"{stage.id}.{answer.id}"
            for stage in run.drill.stages
            for answer in stage.answers
            if answer.calmer is not None
        )
        loud = shouts(cries, calm)
        why = next((event.why for event in run.events if isinstance(event, Ended)), "device")
        return DrillResult(
            drill=run.drill.id,
            title=run.drill.title,
            revision=run.drill.revision.number,
            seed=run.seed,
            passed=why == "finished" and bool(staged) and all(map(_passed, staged)),
            stages=staged,
            shouts=tuple(map(self._shout, cries)),
            calm=run.calm,
            drop=drop(loud),
            strain=strain(loud),
            clipped=share_clipped(cries),
            lost=self._measuring.lost,
            why_ended=why,
        )

    # Sayings, sorted and measured.

    def _cries(self) -> list[Cry]:
        heards = [event for event in self._run.events if isinstance(event, Heard)]
        said = sayings(heards, shouted(self._run.drill), self._language)
        timed = [self._timed(said, at) for at in range(len(said))]
        placed = [replace(cry, visit=during(self._visits, cry.begun)) for cry in timed]
        sorted_ = [self._sorted(cry) for cry in placed]
        for at, visit in enumerate(self._visits):
            sorted_ = self._with_meanings(at, visit, heards, sorted_)
        return [self._measured(cry) for cry in sorted(sorted_, key=lambda cry: cry.begun)]

    def _timed(self, said: Sequence[Said], at: int) -> Cry:
        before, after = neighbours(said, at)
        since = max([before, *self._cue_ends(said[at])], default=before)
        start = self._measuring.start(said[at], since)
        end = self._measuring.end(said[at], after)
        return Cry(said[at], -1, Kind.OTHER, "", start, end)

    def _cue_ends(self, said: Said) -> Iterator[float]:
        """The ends of the cues before a saying that the microphone could hear."""
        if not self._run.headset:
            ends = (visit.cue_end for visit in self._visits)
            yield from (end for end in ends if end is not None and end <= said.start)

    def _sorted(self, cry: Cry) -> Cry:
        stage = self._stage(cry.visit)
        found = sort(cry.said, self._run.drill, stage, too_late=self._too_late(cry))
        return replace(cry, kind=found.kind, answer=found.answer)

    def _stage(self, visit: int) -> Stage | None:
        return None if visit < 0 else self._visits[visit].stage

    def _too_late(self, cry: Cry) -> bool:
        """Whether it certainly began after the time in which what was silenced may be said."""
        if cry.visit < 0:
            return False
        visit = self._visits[cry.visit]
        if visit.cue is None:
            return False
        grace = visit.stage.stop_within + self._run.latency.error + cry.start.error
        return cry.begun > visit.cue + grace

    def _with_meanings(
        self, at: int, visit: Visit, heards: Sequence[Heard], cries: list[Cry]
    ) -> list[Cry]:
        """The sayings with other talk of a stage made answers where it meant one."""
        if all(answer.command for answer in visit.stage.answers):
            return cries
        here = [h for h in heards if during(self._visits, h.start) == at]
        meant = sorted(_meant_in(visit.stage, self._meant(visit.stage, here)), key=_starts)
        talk = [cry for cry in cries if cry.kind is Kind.OTHER]
        said = [one for one, _, _ in meant]
        made = [
            replace(self._timed(said, number), visit=at, kind=kind, answer=name)
            for number, (one, name, kind) in enumerate(meant)
            if any(_overlap(cry.said, one) for cry in talk)
        ]
        left = [
            c for c in cries if c not in talk or not any(_overlap(c.said, m.said) for m in made)
        ]
        return left + made

    def _measured(self, cry: Cry) -> Cry:
        start, end = cry.begun, cry.over
        return replace(
            cry,
            level=self._measuring.level(start, end),
            pitch=self._measuring.pitch(start, end),
            clipped=self._measuring.clipped(start, end),
        )

    # Stages and shouts as values.

    def _staged(self, at: int, visit: Visit, cries: Sequence[Cry]) -> Staged:
        here = [cry for cry in cries if cry.visit == at]
        stops = bool(visit.stage.silences)
        return Staged(
            id=visit.stage.id,
            told=visit.told,
            cue=visit.cue,
            cue_start=visit.cue_start,
            cue_end=visit.cue_end,
            ended=visit.ended,
            outcome=visit.outcome,
            answers=answers(visit, here, self._timing, self._telling),
            stopped=self._stopped(at, visit, cries) if stops else NOTHING_TO_STOP,
            faults=tuple(self._faults(visit, here)),
            stop_within=visit.stage.stop_within if stops else None,
        )

    def _stopped(self, at: int, visit: Visit, cries: Sequence[Cry]) -> Measured:
        """From the cue to the end of the last saying that it silenced, begun before or after."""
        if visit.cue is None:
            return Measured(None, 0.0, "the cue never came")
        silenced = [
            cry
            for cry in cries
            if cry.answer in visit.stage.silences and cry.visit <= at and cry.over > visit.cue
        ]
        error = self._run.latency.error
        if not silenced:
            return Measured(0.0, error)
        return Measured(silenced[-1].over - visit.cue, silenced[-1].end.error + error)

    def _faults(self, visit: Visit, here: Sequence[Cry]) -> Iterator[str]:
        for cry in here:
            if cry.kind is Kind.FORBIDDEN:
                yield self._telling.forbidden(cry.said)
            elif cry.kind is Kind.STALE and visit.cue is not None:
                late = cry.begun - visit.cue
                yield self._telling.stale(self._say(cry.answer), late, visit.stage.stop_within)

    def _say(self, name: str) -> str:
        """The words of "stage.answer"."""
        stage, answer = name.split(".")
        return next(a.say for a in self._run.drill.stage(stage).answers if a.id == answer)

    def _shout(self, cry: Cry) -> Shout:
        stage = self._stage(cry.visit)
        return Shout(
            start=cry.begun,
            end=cry.over,
            text=cry.said.text,
            stage=stage.id if stage else "",
            kind=cry.kind,
            answer=cry.answer,
            why=self._why(cry),
            level=cry.level,
            pitch=cry.pitch,
            clipped=cry.clipped,
        )

    def _why(self, cry: Cry) -> str:
        match cry.kind:
            case Kind.FLAWED:
                return self._telling.saying(self._say(cry.answer), cry.said)
            case Kind.FORBIDDEN:
                return self._telling.forbidden(cry.said)
            case Kind.STALE:
                return self._telling.silenced(self._say(cry.answer))
            case Kind.EARLIER:
                return self._telling.earlier()
        return ""


def _meant_in(stage: Stage, found: Meanings) -> Iterator[tuple[Said, str, Kind]]:
    """What was meant in a stage, as sayings."""
    for answer in stage.answers:
        step = found.step(answer.id)
        if step is None or step.start is None or step.end is None:
            continue
        right = step.verdict is Verdict.SAID
        missing = tuple(step.missing.split())
        said = Said(step.start, step.end, step.heard, answer.say, step.verdict, missing=missing)
        yield said, f"{stage.id}.{answer.id}", Kind.ANSWER if right else Kind.FLAWED
    for extra in found.result.extras if found.result else ():
        if extra.dangerous and extra.start is not None and extra.end is not None:
            yield Said(extra.start, extra.end, extra.heard), "", Kind.FORBIDDEN


def _starts(meant: tuple[Said, str, Kind]) -> float:
    return meant[0].start


def _overlap(one: Said, other: Said) -> bool:
    """Whether two sayings have time in common."""
    return one.start < other.end and other.start < one.end


def _passed(stage: Staged) -> bool:
    return not stage.faults and all(_given(answer) for answer in stage.answers)


def _given(answer: Answered) -> bool:
    return not answer.critical or (answer.verdict is Verdict.SAID and not answer.faults)
