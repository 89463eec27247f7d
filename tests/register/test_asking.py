"""What is asked about an aircraft."""

from __future__ import annotations

from rehearse.register.asking import drawn, questions
from rehearse.register.model import Register


def test_small(small: Register) -> None:
    """If this fails, a fact of the register is asked wrongly or not at all."""
    told = {question.ask: question.answer for question in questions(small)}
    assert told["Station one left aft: what is there?"] == "One megaphone and two torches."
    assert told["Where is the megaphone?"] == (
        "The megaphone is in the locker aft of door one left."
    )
    assert told["How many torches are in the aft cabin?"] == "One."
    assert told["How many torches are there on the Reed 10?"] == "Three."
    assert told["Which position takes the megaphone?"] == "C1."
    assert told["Which door does C1 open?"] == "C1 opens door one left."
    assert told["How do you arm a door?"] == "Lay the bar into the floor brackets."


def test_draw_is_repeatable_and_mixed(tarn_240: Register) -> None:
    """If this fails, a seed does not give the same drill again, or a drill is all of one kind."""
    pool = questions(tarn_240)
    one, again, other = drawn(pool, 8, 7), drawn(pool, 8, 7), drawn(pool, 8, 8)
    assert one == again != other
    assert len({question.topic for question in one}) == 8
    assert len({question.id for question in drawn(pool, 500, 1)}) == len(pool)


def test_position(tarn_240: Register) -> None:
    """If this fails, C4 is asked what only another position must know."""
    found = drawn(questions(tarn_240), 500, 1, "C4")
    ids = {question.id for question in found}
    assert {"takes-C4", "opens-C4", "contents-2l-forward"} <= ids
    assert not ids & {"takes-C6", "opens-C6", "contents-3r-aft"}
