"""A drill file is read strictly; every fault names its line, field and mend."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.shelf import SHIPPED
from rehearse.drill.files.lint import lint_drill
from rehearse.drill.files.reader import read_drill
from rehearse.drill.model import Answer, Branch, Cue, Outcome, Role, Window
from rehearse.errors import BookError, RehearseError, ShelfError
from tests.drill.conftest import GOOD

Write = Callable[[str], Path]


def test_values(write: Write) -> None:
    """If this fails, what a drill file says does not arrive as it was written."""
    drill = read_drill(write(GOOD))
    signal, dead, clear = drill.stages
    assert (drill.id, drill.topic, drill.positions) == ("small", "unusable-exit", ("C4", "C3"))
    assert drill.cast == (Role("eyes", "What you see", 2),)
    assert signal.cue == Cue("evacuation-signal", 3.0, "", "", Window(3.0, 9.0))
    assert signal.then == (
        Branch("dead", (Outcome.ANSWERED,), 3.0),
        Branch("clear", (Outcome.ANSWERED,), 1.0),
    )
    assert dead.cue.wait == Window(2.0, 2.0)
    assert dead.answers[0] == Answer(
        "turn", "Door dead! Turn back!", ("This door is dead!",), within=2.5
    )
    assert not dead.answers[2].command
    assert (dead.silences, dead.stop_within, dead.gives_up) == (("signal.belts",), 1.5, 25.0)
    assert (clear.answers, clear.gives_up) == ((), 20.0)
    assert drill.lexicon.designators


def test_words_of_a_step(write: Write) -> None:
    """If this fails, a command stands twice and may differ, or its forbidden twin is forgotten."""
    signal, dead, _ = read_drill(write(GOOD)).stages
    belts = signal.answers[0]
    assert (belts.id, belts.say) == ("belts", "Belts off! Bags down! This way out!")
    assert belts.command
    assert belts.critical
    assert "Belts on! Bags down! This way out!" in signal.never
    assert dead.never == ("Slide! Two by two!", "This side! Stay here!")
    across = dead.answers[1]
    assert across.critical, "the step is not critical, the drill says it is"


def test_each_position_has_its_doors(write: Write) -> None:
    """If this fails, whoever is drilled for one door is told of another."""
    path = write(GOOD)
    assert read_drill(path).position == "C4"
    for position, door in (("C4", "door two left"), ("c3", "door two right")):
        drill = read_drill(path, position)
        assert drill.stage("dead").cue.says == f"Fire outside {door}."
        assert drill.stage("dead").answers[2].say == f"There is fire outside {door}"
        assert drill.position == position.upper()
    with pytest.raises(ShelfError, match="no drill of position 'C7'; it is for C4, C3"):
        read_drill(path, "C7")
    with pytest.raises(ShelfError, match="write one as C4"):
        read_drill(path, "door two")


def test_across_the_cabin(write: Write) -> None:
    """If this fails, call and response name the wrong pair of doors."""
    text = GOOD.replace("{doors of me}", "{opposite of me}, {pair of me}")
    says = read_drill(write(text), "C3").stage("dead").cue.says
    assert says == "Fire outside door two left, doors two left and two right."


@pytest.mark.parametrize(
    ("written", "instead", "field", "words"),
    [
        ("drill: small", "drill: small\ndril: x", "dril", "the key is unknown"),
        ("title: Small drill", "title: Small drill\ntitle: x", "title", "a second time"),
        ("topic: unusable-exit\n", "", "", ""),
        ("aircraft: tarn-240\n", "", "aircraft", "the key is missing"),
        ("sound: fire", "sound: fyre", "stages[dead].cue.sound", "write fire"),
        ("sound: fire", "sound: trumpets", "stages[dead].cue.sound", "write one of evacuation"),
        ("sound: door-driven", "wait: 1", "stages[clear].cue", "nothing is heard"),
        ("sound: door-driven", "holds: 2, role: eyes, says: No", "stages[clear].cue.holds", "no"),
        ("role: eyes, ", "", "stages[dead].cue.role", "go together"),
        ("role: eyes", "role: eye", "stages[dead].cue.role", "write eyes"),
        ("wait: [3, 9]", "wait: [9, 3]", "stages[signal].cue.wait", "ends before it begins"),
        ("wait: [3, 9]", "wait: [3]", "stages[signal].cue.wait", "as [3, 9]"),
        ("wait: [3, 9]", "wait: [3, 900]", "stages[signal].cue.wait[2]", "0 to 120 seconds"),
        ("wait: 2}", "wait: soon}", "stages[dead].cue.wait", "not a number"),
        ("voice: 2", "voice: 0", "cast[eyes].voice", "from 1 to 8"),
        ("voice: 2", "voice: 2.5", "cast[eyes].voice", "write a whole number"),
        ("commands.belts", "commands.bels", "answers[1].step", "'evacuation-commands.belts'"),
        ("commands.belts", "comands.belts", "answers[1].step", "'evacuation-commands'"),
        ("step: evacuation-commands.belts", "step: belts", "answers[1].step", "a full stop"),
        ("{step: evacuation-commands.belts,", "{", "answers[1]", "has no words"),
        (
            "belts, within",
            "belts, say: Go on, within",
            "answers[1].say",
            "take out 'say' or 'step'",
        ),
        ("belts, within", "belts, command: true, within", "answers[1].command", "take out"),
        ("      - id: turn\n        say", "      - say", "answers[1].id", "the key is missing"),
        ("id: why", "id: turn", "answers[turn].id", "is taken"),
        ("id: clear", "id: dead", "stages[dead].id", "is taken"),
        ("id: clear", "id: end", "stages[end].id", "give the stage another id"),
        ("every: 4, ", "", "answers[1].lasts", "add 'every'"),
        (", lasts: 6", "", "answers[1].every", "add 'lasts'"),
        ("every: 4", "every: 6", "answers[1].every", "longer than 'every'"),
        ("calmer: 30", "calmer: 7", "answers[2].louder", "no voice is louder"),
        ("until: 25", "until: 7", "stages[dead].until", "write at least 8"),
        ("within: 2.5", "within: 0.1", "answers[turn].within", "from 0.5 to 120 seconds"),
        ("chance: 3", "chance: 0", "then[1].chance", "from 0.01 to 100"),
        ("if: [answered], chance", "if: [answerd], chance", "then[1].if[1]", "write answered"),
        ("to: dead", "to: ded", "then[1].to", "write dead"),
        ("[signal.belts]", "[signal.belt]", "silences[1]", "write signal.belts"),
        ("[signal.belts]", "[dead.turn]", "silences[1]", "asks for the words of dead.turn"),
        ('["Slide! Two by two!"]', "[door dead. Turn back]", "dead].never", "'turn' asks for"),
        ("[This door is dead!]", "[Other side. Cross over!]", "answers[2]", "counts as 'turn'"),
        ("doors of me", "doors of C9", "stages[dead].cue.says", "has no position 'C9'"),
        ("positions: [C4, C3]\n", "", "stages[dead].cue.says", "nobody is 'me' here"),
        ("{to: dead, if", "{to: clear, if", "stages[dead]", "nothing leads to this stage"),
        ("- {to: end}", "- {to: clear}", "stages[clear]", "the drill never ends"),
    ],
)
def test_faults(write: Write, written: str, instead: str, field: str, words: str) -> None:
    """If this fails, a slip in a drill is accepted or its line does not help to mend it."""
    assert GOOD.count(written) >= 1
    path = write(GOOD.replace(written, instead, 1))
    if not field:
        read_drill(path)
        return
    with pytest.raises(BookError) as caught:
        read_drill(path)
    told = [p for p in caught.value.problems if p.field.endswith(field) and words in str(p)]
    assert told, str(caught.value)
    assert all(problem.line > 0 and problem.mend for problem in told)


def test_a_fault_stands_at_its_place(write: Write) -> None:
    """If this fails, an author looks for a slip in the wrong line."""
    with pytest.raises(BookError) as caught:
        read_drill(write(GOOD.replace("to: dead", "to: ded")))
    (problem,) = caught.value.problems
    line = GOOD.splitlines()[problem.line - 1]
    assert line[problem.column - 1 :].startswith("dead, if")


def test_a_faulty_procedure_is_told(write: Write, tmp_path: Path) -> None:
    """If this fails, a drill whose command cannot be read begins without it."""
    source = SHIPPED / "tarn-240" / "evacuation-commands.yaml"
    beside = tmp_path / "evacuation-commands.yaml"
    beside.unlink()
    beside.write_text(source.read_text("utf-8").replace("title:", "titel:"), "utf-8")
    with pytest.raises(BookError, match=r"has faults, the first in line 3; mend .*write 'title'"):
        read_drill(write(GOOD))


def test_a_procedure_in_a_file_of_another_name(write: Write, tmp_path: Path) -> None:
    """If this fails, words are found only in files that are called as their procedure is."""
    (tmp_path / "evacuation-commands.yaml").rename(tmp_path / "shouts.yaml")
    assert read_drill(write(GOOD)).stages[0].answers[0].id == "belts"


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    line=st.integers(0, GOOD.count("\n")),
    column=st.integers(0, 60),
    cut=st.integers(0, 12),
    put=st.sampled_from(list("[]{}:,-&*!\"'# 9é\n\t")) | st.text(max_size=4),
)
def test_any_text(write: Write, line: int, column: int, cut: int, put: str) -> None:
    """If this fails, some slip of the keyboard ends in a traceback."""
    lines = GOOD.splitlines(keepends=True)
    at = sum(map(len, lines[:line])) + column
    path = write((GOOD[:at] + put + GOOD[at + cut :]).encode(errors="replace").decode())
    with contextlib.suppress(RehearseError):
        assert read_drill(path).stages
        lint_drill(path)
