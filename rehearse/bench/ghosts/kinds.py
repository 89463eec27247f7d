"""The kinds of sound in which nobody says a step; a new kind is a function and its row here."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from rehearse.bench.ghosts import alarms, bodies, hands, music, own, people, steady
from rehearse.bench.ghosts.block import Block, chance_of
from rehearse.bench.ghosts.clips import OWN, Cast
from rehearse.book.model import Procedure
from rehearse.cues.waves import Chance
from rehearse.errors import RehearseError, SoundError

Made = Callable[[int, Chance, Cast, Procedure], Block]


@dataclass(frozen=True)
class Kind:
    """One kind of sound.

    told: what it is, for whoever reads. made: block by number, with the cast that can be heard and
    the procedure that is expected. others, own: whose clips it needs.
    bound: whether nothing of it may be credited or obeyed; what the tool says holds the
        procedure's very words, and without muting nothing tells them from a trainee's.
    """

    name: str
    told: str
    made: Made
    others: bool = False
    own: bool = False
    bound: bool = True

    def block(self, number: int, cast: Cast, procedure: Procedure) -> Block:
        """The block of this number. Raises SoundError when a clip cannot be used."""
        return self.made(number, chance_of(self.name, number), cast, procedure)


def _computed(made: Callable[[int, Chance], Block]) -> Made:
    return lambda number, chance, _cast, _procedure: made(number, chance)


def _by_others(made: Callable[[int, Chance, Cast], Block]) -> Made:
    return lambda number, chance, cast, _procedure: made(number, chance, cast)


def _by_own(*, muted: bool) -> Made:
    def made(number: int, chance: Chance, cast: Cast, procedure: Procedure) -> Block:
        if cast.own is None:
            raise SoundError("no clips of the tool's own voice; see --speak")
        return own.own(number, chance, cast.own, own.script(procedure, number), muted=muted)

    return made


KINDS: Mapping[str, Kind] = MappingProxyType({
    kind.name: kind
    for kind in (
        Kind("silence", "digital silence, hiss, hum", _computed(steady.silence)),
        Kind("cabin", "cabin noise, quiet to roaring", _computed(steady.cabin)),
        Kind("horn", "evacuation horns, with a crowd and without", _computed(alarms.horn)),
        Kind("chimes", "chimes, beeps, sirens", _computed(alarms.chimes)),
        Kind("door-sounds", "slides, water, fire, engines, blows", _computed(alarms.around)),
        Kind("crying", "babies, children, grown-ups", _computed(bodies.crying)),
        Kind("laughing", "laughing, coughing, sneezing", _computed(bodies.laughing)),
        Kind("breathing", "calm, hard, sighing, snoring", _computed(bodies.breathing)),
        Kind("music", "chords, melody, drums", _computed(music.music)),
        Kind("singing", "vowels sung, alone and to chords", _computed(music.singing)),
        Kind("hands", "keys, knocks, paper", _computed(hands.hands)),
        Kind("babble", "3 to 12 people at once", _by_others(people.babble), others=True),
        Kind("talk", "people about something else", _by_others(people.talk), others=True),
        Kind("own-muted", "the tool's voice, muted as in practice", _by_own(muted=True), own=True),
        Kind("own-open", "the tool's voice, were muting to fail", _by_own(muted=False), own=True,
             bound=False),
    )
})  # fmt: skip


def chosen(names: Sequence[str] | None) -> list[Kind]:
    """The kinds of these names; all of them when none is given.

    Raises:
        RehearseError: there is no such kind.
    """
    unknown = [name for name in names or () if name not in KINDS]
    if unknown:
        raise RehearseError(f"there is no kind '{unknown[0]}'; choose from {', '.join(KINDS)}")
    return [kind for kind in KINDS.values() if not names or kind.name in names]


def expected(kind: Kind, number: int, procedures: Sequence[Procedure]) -> Procedure:
    """The procedure that a block is heard with: each in turn, every kind beginning elsewhere."""
    start = 0 if kind.own else 7 * list(KINDS).index(kind.name)
    return procedures[(start + number) % len(procedures)]


def missing(kinds: Sequence[Kind], cast: Cast) -> str:
    """Which of these kinds cannot be made of the cast, and why; "" when all can."""
    for kind in kinds:
        if kind.others and not cast.others:
            return f"{kind.name}: no voice of another person says its sentences"
        if kind.own and cast.own is None:
            return f"{kind.name}: no voice '{OWN}' says what the tool says"
    return ""
