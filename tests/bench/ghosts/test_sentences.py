"""What other people say is talk, and none of it is what the tool must act on."""

from __future__ import annotations

from rehearse.bench.ghosts.ground import Ground
from rehearse.bench.ghosts.people import everyday
from rehearse.coach.requests import request
from rehearse.drill.running.spoken import stops
from rehearse.hear.scoring import plain


def test_there_are_many_and_each_once() -> None:
    """Half an hour of talk would be the same few sentences."""
    assert len(everyday()) >= 150
    assert len(set(everyday())) == len(everyday())


def test_none_is_a_request_or_a_step(whole_book: Ground) -> None:
    """Who really asks for something, or says a step, would be counted as nobody."""
    steps = {
        plain(text)
        for p in whole_book.procedures
        for s in p.steps
        for text in (*s.wordings, *s.never)
    }
    for sentence in everyday():
        assert request(sentence) is None, sentence
        assert plain(sentence) not in steps
        assert not any(stops(sentence, drill) for drill in whole_book.drills)
