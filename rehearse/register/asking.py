"""The questions that a register gives rise to: every one, and some drawn by a seed."""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import zip_longest

from rehearse.register.model import Kind, Position, Register, Station
from rehearse.register.phrasing import Phrasing, phrasing
from rehearse.register.question import Form, Part, Question

MOST_PLACES = 5  # of one answer; more are asked for zone by zone


def questions(register: Register) -> tuple[Question, ...]:
    """Every question, in a steady order.

    Raises:
        RehearseError: the register's language has no words for questions.
    """
    asking = _Asking(register, phrasing(register.language))
    return tuple(asking.all())


def drawn(pool: Iterable[Question], count: int, seed: int, position: str = "") -> list[Question]:
    """So many questions, of many topics, in an order that follows from the seed.

    position: only what concerns this crew position, or everybody.
    """
    chance = random.Random(seed)  # noqa: S311 - a drill needs no secrecy
    fitting = [q for q in pool if not position or not q.positions or position in q.positions]
    by_topic: dict[str, list[Question]] = {}
    for question in fitting:
        by_topic.setdefault(question.topic, []).append(question)
    topics = list(by_topic.values())
    chance.shuffle(topics)
    for topic in topics:
        chance.shuffle(topic)
    rounds = zip_longest(*topics)
    mixed = [question for round_ in rounds for question in round_ if question is not None]
    return mixed[:count]


class _Asking:
    """The questions of one register, in the words of its language."""

    def __init__(self, register: Register, words: Phrasing) -> None:
        self._register = register
        self._words = words
        self._carried = tuple(kind for kind in register.kinds if not kind.fixed)

    def all(self) -> Iterator[Question]:
        for station in self._register.stations:
            yield self._contents(station)
        for kind in self._carried:
            yield from self._places(kind)
            yield from self._numbers(kind)
            yield from self._takers(kind)
        for position in self._register.positions:
            yield from self._duties(position)
        yield from self._sentences()

    def _contents(self, station: Station) -> Question:
        named = {item.kind: self._register.kind(item.kind) for item in station.items}
        carried = [item for item in station.items if not named[item.kind].fixed]
        parts = tuple(
            Part(
                item.kind,
                self._words.counted(item.count, named[item.kind]),
                named[item.kind].named(item.count),
                item.count,
            )
            for item in carried or station.items
        )
        question = self._question(
            f"contents-{station.id}", "contents", Form.KINDS, parts, {"name": _great(station.name)}
        )
        spare = frozenset(named) - {part.id for part in parts}
        return replace(question, spare=spare, positions=self._seated(station.zone))

    def _seated(self, zone: str) -> frozenset[str]:
        """The positions whose seat is in the zone; none for everybody."""
        return frozenset(p.id for p in self._register.positions if p.zone == zone)

    def _places(self, kind: Kind) -> Iterator[Question]:
        stations = self._register.holding(kind.id)
        words = {"name": kind.name, "plural": kind.plural}
        if 0 < len(stations) <= MOST_PLACES:
            phrase = "places_one" if self._register.count(kind.id) == 1 else "places"
            yield self._stations(phrase, f"places-{kind.id}", kind, stations, words)
            return
        for zone in self._register.zones:
            inside = self._register.holding(kind.id, zone.id)
            if 0 < len(inside) <= MOST_PLACES and self._register.count(kind.id, zone.id) > 1:
                name = f"places-{kind.id}-{zone.id}"
                placed = {**words, "place": zone.place}
                question = self._stations("places_zone", name, kind, inside, placed)
                yield replace(question, positions=self._seated(zone.id))

    def _stations(
        self,
        phrase: str,
        name: str,
        kind: Kind,
        stations: Sequence[Station],
        words: Mapping[str, str],
    ) -> Question:
        parts = tuple(Part(s.id, s.place, s.place, s.count(kind.id)) for s in stations)
        return self._question(name, phrase, Form.STATIONS, parts, words)

    def _numbers(self, kind: Kind) -> Iterator[Question]:
        whole = self._register.count(kind.id)
        if whole > 1:
            yield self._number(f"number-{kind.id}", "number_all", kind, whole, "")
        for zone in self._register.zones:
            count = self._register.count(kind.id, zone.id)
            if 0 < count < whole:
                name = f"number-{kind.id}-{zone.id}"
                question = self._number(name, "number", kind, count, zone.place)
                yield replace(question, positions=self._seated(zone.id))

    def _number(self, name: str, phrase: str, kind: Kind, count: int, place: str) -> Question:
        part = Part(str(count), self._words.counted(count, kind), kind.named(count), count)
        words = {"plural": kind.plural, "place": place, "aircraft": self._register.name}
        return self._question(
            name, phrase, Form.NUMBER, (part,), words, answer=self._words.number(count)
        )

    def _takers(self, kind: Kind) -> Iterator[Question]:
        takers = [
            p.id for p in self._register.positions for taken in p.takes if taken.kind == kind.id
        ]
        if takers:
            phrase = "takers_one" if len(takers) == 1 else "takers"
            name = f"takers-{kind.id}"
            words = {"name": kind.name}
            yield self._question(name, phrase, Form.POSITIONS, _crew(takers), words)

    def _duties(self, position: Position) -> Iterator[Question]:
        own, words = frozenset({position.id}), {"position": position.id}
        if position.takes:
            kinds = [self._register.kind(taken.kind) for taken in position.takes]
            called = [(kind.id, self._words.text("the", name=kind.name)) for kind in kinds]
            parts = tuple(Part(kind, name, name) for kind, name in called)
            name = f"takes-{position.id}"
            question = self._question(name, "takes", Form.KINDS, parts, words)
            yield replace(question, positions=own, spare=self._at_seat(position))
        if position.opens:
            phrase = "opens" if len(position.opens) > 1 else "opens_one"
            doors = self._doors(position.opens)
            question = self._question(f"opens-{position.id}", phrase, Form.DOORS, doors, words)
            yield replace(question, positions=own)
        out = self._doors((position.leaves,))
        question = self._question(f"leaves-{position.id}", "leaves", Form.DOORS, out, words)
        yield replace(question, positions=own)
        for door in position.opens:
            words = {"name": self._register.door(door).name}
            crew = _crew([position.id])
            yield self._question(f"openers-{door}", "openers", Form.POSITIONS, crew, words)

    def _at_seat(self, position: Position) -> frozenset[str]:
        """What is stowed at the seat itself: it may be named, but need not."""
        own = (station for station in self._register.stations if station.at == position.at)
        return frozenset(item.kind for station in own for item in station.items)

    def _doors(self, doors: Iterable[str]) -> tuple[Part, ...]:
        named = [(door, self._register.door(door).name) for door in doors]
        return tuple(Part(door, name, name) for door, name in named)

    def _sentences(self) -> Iterator[Question]:
        for kind in self._carried:
            if kind.check:
                yield self._sentence(f"check-{kind.id}", "check", kind.check, {"name": kind.name})
        for signal in self._register.signals:
            for topic in ("sound", "silence", "means"):
                text = str(getattr(signal, topic))
                if text:
                    words = {"name": signal.name}
                    yield self._sentence(f"{topic}-{signal.id}", topic, text, words)
        for fact in self._register.facts:
            yield self._sentence(f"fact-{fact.id}", "fact", fact.answer, {"ask": fact.ask})

    def _sentence(self, name: str, phrase: str, text: str, words: Mapping[str, str]) -> Question:
        parts = (Part("answer", text, text),)
        return self._question(name, phrase, Form.SENTENCE, parts, words, answer=text)

    def _question(
        self,
        name: str,
        phrase: str,
        form: Form,
        parts: tuple[Part, ...],
        words: Mapping[str, str],
        *,
        answer: str = "",
    ) -> Question:
        answer = answer or self._words.listed(part.name for part in parts)
        row = self._words.rows[phrase]
        told = str(row["answer"]).format(answer=answer, Answer=_great(answer), **words)
        asked = str(row["ask"]).format(**words)
        return Question(name, phrase.partition("_")[0], form, asked, _great(told), parts)


def _crew(positions: Iterable[str]) -> tuple[Part, ...]:
    return tuple(Part(position, position, position) for position in positions)


def _great(text: str) -> str:
    return text[:1].upper() + text[1:]
