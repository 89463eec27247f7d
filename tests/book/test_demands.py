from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.book.model import Demands
from rehearse.book.reader import read
from rehearse.book.show import page
from rehearse.errors import BookError

Write = Callable[[str | bytes], Path]

PIN = "    say: Open the flap and pull the spring pin\n"
CALL = "    command: true\n"


def test_corrections_are_read_and_shown(write: Write, good: str) -> None:
    """What an author corrects comes with the step, and stands on its page."""
    demands = (
        "    demands:\n      named: [spring pin]\n      spare: [Open the flap and]\n"
        "      contrasts: {pin: [lever, bolt]}\n"
    )
    procedure = read(write(good.replace(PIN, PIN + demands)))
    assert procedure.steps[0].demands == Demands(
        ("spring pin",), ("Open the flap and",), (("pin", ("lever", "bolt")),)
    )
    (contrast,) = procedure.words.contrasts
    assert contrast.values == ("pin", "lever", "bolt")
    text = " ".join(" ".join(page(procedure)).split())
    assert "named spring pin spare Open the flap and not lever, bolt for pin" in text


@pytest.mark.parametrize(
    ("demands", "told"),
    [
        ("{}", "steps[flap].demands: nothing is corrected here; add 'named: [...]'"),
        ("[pin]", "steps[flap].demands: there are no keys here"),
        ("{name: [pin]}", "steps[flap].demands.name: the key is unknown; write 'named'"),
        ("{named: pin}", "steps[flap].demands.named: 'pin' is not a list"),
        ("{named: [lever]}", "demands.named[1]: 'lever' does not stand in the step's sentence"),
        ("{named: [pin spring]}", "'pin spring' does not stand in the step's sentence; copy"),
        ("{named: [pin, Pin]}", "demands.named[2]: it is listed twice"),
        ("{named: [pin], spare: [spring pin]}", "share words; keep them under"),
        ("{spare: [the flap and pull, pull the spring pin]}", "two phrases overlap"),
        ("{spare: [the flap and pull the spring pin]}", "hardly anything would be left to say"),
        ("{contrasts: [pin]}", "demands.contrasts: there are no keys here"),
        ("{contrasts: {pin: lever}}", "demands.contrasts.pin: 'lever' is not a list"),
        ("{contrasts: {pin: []}}", "demands.contrasts.pin: the list is empty"),
        ("{contrasts: {bar: [x]}}", "demands.contrasts.bar: 'bar' does not stand in"),
        ("{contrasts: {pin: [flap]}}", "demands.contrasts.pin[1]: 'flap' stands in the step's"),
    ],
)
def test_a_faulty_correction_is_told(write: Write, good: str, demands: str, told: str) -> None:
    """Line, field and mend: a correction that cannot work is never passed over."""
    path = write(good.replace(PIN, f"{PIN}    demands: {demands}\n"))
    with pytest.raises(BookError) as caught:
        read(path)
    assert any(told in str(problem) for problem in caught.value.problems), str(caught.value)
    assert {problem.line for problem in caught.value.problems} == {12}


def test_a_command_takes_none(write: Write, good: str) -> None:
    """Word by word leaves nothing to correct."""
    path = write(good.replace(CALL, CALL + "    demands: {named: [armed]}\n"))
    with pytest.raises(BookError, match="a command is judged word by word"):
        read(path)
