from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from rehearse.bench.corpus import DEVELOPMENT, CorpusError, read_corpus, spoken
from rehearse.book.model import Procedure
from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.judge.verdict import Verdict

Row = dict[str, Any]
Make = Callable[..., Row]
Write = Callable[..., Path]

CORPUS = Path(__file__).parents[1] / "corpus"


@pytest.fixture
def procedures(book: Path) -> Mapping[str, Procedure]:
    """The small book by id."""
    return {procedure.id: procedure for procedure in all_procedures([book])}


def test_a_case_is_read(
    write_corpus: Write, step_row: Make, procedures: Mapping[str, Procedure]
) -> None:
    """A row becomes a case that knows its step, its verdict, its split and its place."""
    folder = write_corpus([step_row(), step_row(procedure="arm-door-3r", expect="wrong")])
    one, two = read_corpus(folder, procedures).steps
    assert one.step.id == "drum"
    assert one.expect is Verdict.SAID
    assert one.development
    assert one.where.endswith("cases.jsonl:1")
    assert two.expect is Verdict.WRONG
    assert not two.development


def test_a_recitation_is_read(
    write_corpus: Write, take_row: Make, procedures: Mapping[str, Procedure]
) -> None:
    """A row becomes a take with a verdict on every step."""
    row = take_row(dangerous=["the mode drum"])
    (take,) = read_corpus(write_corpus([], [row]), procedures).recitations
    assert take.expect == {"flap": Verdict.SAID, "drum": Verdict.SAID}
    assert take.dangerous == ("the mode drum",)


def test_no_corpus_is_one_clear_line(tmp_path: Path) -> None:
    """Without a corpus the error says where it would be."""
    with pytest.raises(CorpusError, match=r"no corpus here; .*tests/corpus") as caught:
        read_corpus(tmp_path / "nothing", {})
    assert "\n" not in str(caught.value)


def test_an_empty_corpus_is_an_error(tmp_path: Path) -> None:
    """A folder without cases measures nothing, and says so."""
    with pytest.raises(CorpusError, match="no case in it"):
        read_corpus(tmp_path, {})


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"procedure": "arm-door-2r"}, "procedure: 'arm-door-2r' is not known; did you mean"),
        ({"step": "drumm"}, "step: 'drumm' is not known; did you mean 'drum'"),
        ({"expect": "sad"}, "expect: 'sad' is not known; did you mean 'said'"),
        ({"expect": 1}, "expect: missing or empty"),
        ({"said": " "}, "said: missing or empty"),
        ({"kind": None}, "kind: missing or empty"),
    ],
)
def test_a_faulty_case_is_named(
    write_corpus: Write,
    step_row: Make,
    procedures: Mapping[str, Procedure],
    change: Row,
    said: str,
) -> None:
    """The error names file, line, field and the mend, in one line."""
    folder = write_corpus([step_row(), step_row(**change)])
    with pytest.raises(CorpusError) as caught:
        read_corpus(folder, procedures)
    assert f"cases.jsonl:2: {said}" in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"expect": {"flap": "said"}}, "expect: must give a verdict for exactly the steps"),
        ({"expect": {"flap": "said", "drum": "done"}}, "expect: 'done' is not known"),
        ({"dangerous": ["to disarmed"]}, "dangerous: 'to disarmed' is in no utterance"),
        ({"utterances": "open the flap"}, "utterances: not a list of texts"),
        ({"utterances": []}, "utterances: none"),
    ],
)
def test_a_faulty_recitation_is_named(
    write_corpus: Write,
    take_row: Make,
    procedures: Mapping[str, Procedure],
    change: Row,
    said: str,
) -> None:
    """The error names file, line, field and the mend, in one line."""
    folder = write_corpus([], [take_row(**change)])
    with pytest.raises(CorpusError) as caught:
        read_corpus(folder, procedures)
    assert f"cases.jsonl:1: {said}" in str(caught.value)


@pytest.mark.parametrize("line", ["{", "[]", "7", '"text"', "[" * 5000])
def test_a_line_that_is_no_case_is_named(tmp_path: Path, line: str) -> None:
    """Whatever stands in the line, the error names it and shows no traceback."""
    (tmp_path / "steps").mkdir()
    (tmp_path / "steps" / "odd.jsonl").write_text("\n" + line)
    with pytest.raises(CorpusError, match=r"odd\.jsonl:2: not a JSON object"):
        read_corpus(tmp_path, {})


def test_utterances_follow_each_other_in_time() -> None:
    """Each utterance takes as long as its words and starts after a pause."""
    one, two = spoken(("one two three four five", "six"))
    assert (one.start, one.end) == (0.0, 2.0)
    assert two.start > one.end
    assert two.checks is None


def test_the_shipped_corpus_fits_the_shipped_book() -> None:
    """Every row of the corpus names steps that exist; both splits and all procedures are there."""
    procedures = {procedure.id: procedure for procedure in all_procedures([SHIPPED])}
    corpus = read_corpus(CORPUS, procedures)
    named = {case.procedure.id for case in corpus.steps}
    assert named >= DEVELOPMENT
    assert named - DEVELOPMENT
    assert named == {take.procedure.id for take in corpus.recitations}


def test_no_saying_is_labelled_twice() -> None:
    """No step of the corpus has the same utterance in two rows."""
    procedures = {procedure.id: procedure for procedure in all_procedures([SHIPPED])}
    cases = read_corpus(CORPUS, procedures).steps
    rows = [(case.procedure.id, case.step.id, case.said) for case in cases]
    assert len(rows) == len(set(rows))
