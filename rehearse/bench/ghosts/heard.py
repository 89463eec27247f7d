"""A block heard, judged and obeyed as in practice, and once more as in a drill."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rehearse.bench.ghosts.block import Block
from rehearse.bench.ghosts.outcome import Outcome, Place
from rehearse.bench.rates import CREDITED
from rehearse.book.model import Procedure
from rehearse.coach.coach import Coach
from rehearse.drill.model import Drill
from rehearse.drill.running.expected import RULE, as_procedure, expected
from rehearse.drill.running.spoken import stops
from rehearse.drill.scoring.kinds import shouted
from rehearse.drill.scoring.shouts import sayings
from rehearse.events import Ghost, Heard, Requested, SpeechStarted
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Endpointer, EndpointRule, Segment
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import SileroVoice
from rehearse.judge.verdict import Result, Verdict
from rehearse.session.drilled import language_of
from rehearse.session.engine import Engine

_CHUNK = RATE // 20  # samples that a microphone brings at a time


@dataclass(frozen=True)
class Practised:
    """What practice made of a block; fields as in `Outcome`."""

    begun: int
    ghosts: int
    heard: tuple[str, ...]
    credited: tuple[str, ...]
    blamed: tuple[str, ...]
    requests: tuple[str, ...]


@dataclass(frozen=True)
class Drilled:
    """What a drill made of a block; fields as in `Outcome`."""

    shouts: tuple[str, ...]
    stops: tuple[str, ...]


class AlwaysVoice:
    """A detector that has failed: all sound is a voice to it."""

    def probability(self, window: Sound) -> float:
        """Certainty."""
        del window
        return 1.0

    def reset(self) -> None:
        """Nothing to forget."""


def outcome(
    block: Block, procedure: Procedure, drill: Drill, engine: Engine, *, place: Place
) -> Outcome:
    """All that became of one block."""
    found = practised(block, procedure, engine, detected=place.detected)
    shouting = drilled(block, drill, engine, detected=place.detected)
    steps = {step.id: step for step in procedure.steps}
    return Outcome(
        kind=place.kind,
        number=place.number,
        seconds=round(block.seconds, 3),
        procedure=f"{procedure.aircraft} {procedure.id}",
        drill=f"{drill.aircraft} {drill.id}",
        detected=place.detected,
        begun=found.begun,
        ghosts=found.ghosts,
        heard=found.heard,
        credited=found.credited,
        critical=tuple(step for step in found.credited if steps[step].critical),
        commands=tuple(step for step in found.credited if steps[step].command),
        blamed=found.blamed,
        requests=found.requests,
        shouts=shouting.shouts,
        stops=shouting.stops,
    )


def practised(
    block: Block, procedure: Procedure, engine: Engine, *, detected: bool = True
) -> Practised:
    """The block as the sound of one take of the procedure."""
    confirmer = Confirmer(
        engine.recogniser, engine.expectation(procedure), engine.language_of(procedure)
    )
    coach, assessor = Coach(procedure), engine.assessor(procedure)
    begun, ghosts = 0, 0
    heard: list[str] = []
    requests: list[str] = []
    credited: dict[str, None] = {}
    blamed: dict[str, None] = {}
    for event in events(block, confirmer, detected=detected):
        match event:
            case SpeechStarted():
                begun += 1
            case Ghost():
                ghosts += 1
            case Heard():
                heard.append(event.text)
                read = coach.read(event)
                if isinstance(read, Requested):
                    requests.append(f"{read.request}: {read.text}")
                    continue
                assessor.add(read)
                result = assessor.result()
                credited |= dict.fromkeys(s.id for s in result.steps if s.verdict in CREDITED)
                blamed |= dict.fromkeys(_blamed(result))
    return Practised(begun, ghosts, tuple(heard), tuple(credited), tuple(blamed), tuple(requests))


def drilled(block: Block, drill: Drill, engine: Engine, *, detected: bool = True) -> Drilled:
    """The block as the sound of one drill, in every stage at once: whatever any of them credits."""
    language = language_of(drill)
    confirmer = Confirmer(engine.recogniser, expected(drill, language), language)
    found = events(block, confirmer, RULE, detected=detected)
    heards = [event for event in found if isinstance(event, Heard)]
    shouts = [
        f"{said.wording}: {said.text}"
        for said in sayings(heards, shouted(drill), language)
        if said.wording and said.verdict is Verdict.SAID
    ]
    told = as_procedure(drill)
    assessor = engine.assessor(told)
    for event in heards:
        assessor.add(event)
    by_meaning = {step.id for step in told.steps if not step.command}
    for step in assessor.result().steps if by_meaning else ():
        if step.id in by_meaning and step.verdict in CREDITED:
            shouts.append(f"{step.id}: {step.heard}")
    ended = tuple(event.text for event in heards if stops(event.text, drill))
    return Drilled(tuple(shouts), ended)


def events(
    block: Block,
    confirmer: Confirmer,
    rule: EndpointRule | None = None,
    *,
    detected: bool = True,
) -> Iterator[SpeechStarted | Heard | Ghost]:
    """What the listener makes of a block, muted where the block says so.

    detected: a voice must be detected; else all sound is taken for one.
    """
    endpointer = Endpointer(SileroVoice() if detected else AlwaysVoice(), rule)
    for at in range(0, block.sound.size, _CHUNK):
        if _muted(block.muted, at / RATE):
            endpointer.mute()
        else:
            endpointer.unmute()
        yield from _read(endpointer.feed(block.sound[at : at + _CHUNK]), confirmer)
    yield from _read(endpointer.finish(), confirmer)


def _read(
    found: Sequence[SpeechStarted | Segment], confirmer: Confirmer
) -> Iterator[SpeechStarted | Heard | Ghost]:
    for item in found:
        yield confirmer.confirm(item) if isinstance(item, Segment) else item


def _muted(stretches: Sequence[tuple[float, float]], time: float) -> bool:
    """Whether a chunk from this second on falls into a stretch, by when it was reported."""
    return any(start <= time + _CHUNK / RATE and time < end for start, end in stretches)


def _blamed(result: Result) -> Iterator[str]:
    for step in result.steps:
        if step.verdict is Verdict.WRONG:
            yield f"{step.id}: {step.heard}"
    for extra in result.extras:
        if extra.dangerous:
            yield f"forbidden: {extra.heard}"
