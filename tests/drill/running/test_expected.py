"""What a drill has the recogniser listen for."""

from __future__ import annotations

from rehearse.drill.running.expected import expected
from rehearse.drill.running.spoken import stops
from rehearse.language import load
from tests.drill.sample import ACROSS, BELTS, DEAD, drill

ON = "Belts on! Bags down! This way out!"


def test_everything_that_may_be_shouted_is_expected() -> None:
    """If this fails, a command or its opposite is not listened for."""
    found = expected(drill(), load("en"))
    assert {BELTS, DEAD, ACROSS} <= set(found.wordings)
    assert {BELTS, DEAD, ACROSS} <= set(found.commands)
    assert ON in found.contrasts
    assert not set(found.wordings) & set(found.contrasts)


def test_what_stops_a_drill() -> None:
    """If this fails, a drill cannot be stopped by voice, or a command of it stops it."""
    made = drill()
    assert "end the drill" in expected(made, load("en")).commands
    for text in ("End the drill!", "Belts off! Stop the drill.", "please end drill"):
        assert stops(text, made)
    for text in (BELTS, "The drill is nice", "Stop there!", "Stop!", "end", ""):
        assert not stops(text, made)
