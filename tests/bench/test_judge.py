from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rehearse.bench.corpus import CorpusError
from rehearse.bench.judge import evaluate
from rehearse.bench.lines import lines
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Verdict

Row = dict[str, Any]
Make = Callable[..., Row]
Write = Callable[..., Path]


def test_every_case_is_judged_by_itself(
    write_corpus: Write, step_row: Make, book: Path, readers: Readers
) -> None:
    """One case credits nothing to the next, and each keeps what was expected and given."""
    folder = write_corpus(
        [step_row(), step_row(said="good morning", expect="not_said", kind="unrelated")]
    )
    outcomes = evaluate(folder, book, readers).steps
    assert [o.pair for o in outcomes] == [
        (Verdict.SAID, Verdict.SAID),
        (Verdict.NOT_SAID, Verdict.NOT_SAID),
    ]
    assert all(o.milliseconds > 0 for o in outcomes)


def test_a_take_is_judged_whole(
    write_corpus: Write, take_row: Make, book: Path, readers: Readers
) -> None:
    """A right take is right in every step, with one time for each utterance."""
    (outcome,) = evaluate(write_corpus([], [take_row()]), book, readers).recitations
    assert outcome.exact
    assert outcome.given == {"flap": Verdict.SAID, "drum": Verdict.SAID}
    assert len(outcome.milliseconds) == 2


def test_dangerous_words_are_looked_for(
    write_corpus: Write, take_row: Make, book: Path, readers: Readers
) -> None:
    """Marked words are found where the judge reports them, missed where not, else a false alarm."""
    taken = {
        "utterances": ["open the flap and pull the spring pin", "turn the mode drum to disarmed"],
        "expect": {"flap": "said", "drum": "wrong"},
    }
    folder = write_corpus(
        [],
        [
            take_row(**taken, dangerous=["drum to disarmed"]),
            take_row(**taken, dangerous=["the spring pin", "to disarmed"]),
            take_row(**taken),
        ],
    )
    one, two, three = evaluate(folder, book, readers).recitations
    assert (one.found, one.missed, one.false) == (("drum to disarmed",), (), ())
    assert (two.found, two.missed, two.false) == (("to disarmed",), ("the spring pin",), ())
    assert (three.found, three.missed) == ((), ())
    assert three.false == ("turn the mode drum to disarmed",)


def test_progress_is_told_for_every_case(
    write_corpus: Write, step_row: Make, take_row: Make, book: Path, readers: Readers
) -> None:
    """The count rises by one to the number of cases, takes included."""
    told: list[tuple[int, int]] = []
    folder = write_corpus([step_row(), step_row(said="armed")], [take_row()])
    evaluate(folder, book, readers, lambda done, total: told.append((done, total)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_splits_are_shown_apart(
    write_corpus: Write, step_row: Make, take_row: Make, book: Path, readers: Readers
) -> None:
    """Development and held-out cases never share a table; a false credit shows in its own."""
    held_out = step_row(
        procedure="arm-door-3r", said="turn the mode drum to armed again", expect="not_said"
    )
    folder = write_corpus([step_row(), held_out], [take_row()])
    found = lines(evaluate(folder, book, readers))
    development = found.index("Single steps, development procedures")
    other = found.index("Single steps, held-out procedures")
    shown = [(at, line) for at, line in enumerate(found) if "false credit (" in line]
    assert any(development < at < other and " 0/0" in line for at, line in shown)
    assert any(at > other and " 1/1" in line for at, line in shown)
    assert "Recitations, development procedures" in found
    assert "Recitations, held-out procedures" not in found


def test_held_out_cases_can_be_left_alone(
    write_corpus: Write, step_row: Make, take_row: Make, book: Path, readers: Readers
) -> None:
    """While rules are written, nothing of a held-out procedure is judged or shown."""
    folder = write_corpus(
        [step_row(), step_row(procedure="arm-door-3r")],
        [take_row(), take_row(procedure="arm-door-3r")],
    )
    evaluation = evaluate(folder, book, readers, held_out=False)
    assert [o.case.development for o in evaluation.steps] == [True]
    assert [o.case.development for o in evaluation.recitations] == [True]
    assert all("held-out procedures" not in line for line in lines(evaluation)[2:])


def test_what_matters_most_is_counted(
    write_corpus: Write, step_row: Make, book: Path, readers: Readers
) -> None:
    """Near misses of a slot count together, those of an object do not; incomplete by itself."""
    rows = [
        step_row(said="turn the mode drum to disarmed", expect="wrong", kind="near_miss_state"),
        step_row(said="turn the mode drum to armed", expect="wrong", kind="near_miss_side"),
        step_row(said="turn the mode wheel to armed", expect="wrong", kind="near_miss_object"),
        step_row(said="turn the mode drum", expect="incomplete", kind="omitted_part"),
    ]
    found = lines(evaluate(write_corpus(rows), book, readers))
    near = next(line for line in found if "near miss of a slot" in line)
    assert near.endswith(" 1/2")
    short = next(line for line in found if "recognised as incomplete" in line)
    assert short.endswith(" 1/1")
    assert any(line.startswith("near_miss_object ") for line in found)
    assert any("expected calibration error" in line for line in found)


def test_lines_fit_the_screen(
    write_corpus: Write, step_row: Make, take_row: Make, book: Path, readers: Readers
) -> None:
    """Whatever verdicts come, no line is wider than 80 columns."""
    rows = [
        step_row(said=f"turn the mode drum {n}", expect=verdict.value, kind="near_miss_direction")
        for n, verdict in enumerate(v for v in Verdict if v is not Verdict.OUT_OF_ORDER)
    ]
    found = lines(evaluate(write_corpus(rows, [take_row()]), book, readers))
    assert max(map(len, found)) <= 80


def test_a_missing_corpus_or_book_is_told(
    tmp_path: Path, write_corpus: Write, step_row: Make, book: Path, readers: Readers
) -> None:
    """Neither an absent corpus nor a book without the cases' procedures gives a traceback."""
    with pytest.raises(CorpusError, match="no corpus"):
        evaluate(tmp_path / "none", book, readers)
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(CorpusError, match="procedure: 'arm-door-2l' is not known"):
        evaluate(write_corpus([step_row()]), empty, readers)
