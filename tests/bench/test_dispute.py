from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rehearse.bench.corpus import CorpusError, read_corpus
from rehearse.bench.dispute import Dispute, DisputeError, dispute, record, words_judged
from rehearse.book.model import Procedure
from rehearse.book.reader import read
from rehearse.cli import main
from rehearse.events import Event, Heard, Restarted
from rehearse.judge.verdict import StepResult, Verdict
from rehearse.record.take import TakeWriter

TAKE: tuple[Event, ...] = (
    Heard(0.0, 2.0, "Open the flap, and"),
    Heard(2.5, 4.0, "pull the spring pin."),
    Restarted(4.5),
    Heard(5.0, 8.0, "Turn the mode drum to disarmed, sorry, to armed"),
)


@pytest.fixture
def procedure(book: Path) -> Procedure:
    """A small procedure with the steps flap and drum."""
    return read(book / "arm-door-2l.yaml")


def claimed(procedure: Procedure, **changes: str) -> Dispute:
    """A disagreement about the drum, with some parts changed."""
    given = {"step": "drum", "verdict": "said", "why": "it was mended", "said": "to armed"}
    return dispute(procedure, TAKE, **{**given, **changes})


def test_a_dispute_becomes_a_case_of_the_corpus(procedure: Procedure, tmp_path: Path) -> None:
    """The row is read back by the evaluation, with the words as the take has them."""
    said = "turn THE mode drum to disarmed sorry to armed"
    where = record(claimed(procedure, said=said), tmp_path / "mine")
    (case,) = read_corpus(tmp_path / "mine", {procedure.id: procedure}).steps
    assert case.said == "Turn the mode drum to disarmed, sorry, to armed"
    assert (case.step.id, case.expect, case.kind) == ("drum", Verdict.SAID, "disputed")
    assert case.why == "it was mended"
    assert where == case.where


def test_words_may_run_over_two_utterances(procedure: Procedure) -> None:
    """A step said in two breaths is disputed in one piece, but not across a fresh start."""
    said = "open the flap and pull the spring pin"
    assert (
        claimed(procedure, step="flap", said=said).said == "Open the flap, and pull the spring pin."
    )
    with pytest.raises(DisputeError, match="was not said in this take"):
        claimed(procedure, said="spring pin turn the mode drum")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"said": "to disarmed sorry"}, None),
        ({"said": "turn the mode drum to armed"}, "was not said in this take; did you mean 'Turn"),
        ({"said": "arm"}, "'arm' was not said in this take"),
        ({"said": ""}, "no words of this take were taken for the step; name them with --said"),
        ({"step": "drumm"}, "arm-door-2l has no step 'drumm'; did you mean 'drum'"),
        ({"verdict": "sad"}, "verdict 'sad' is not known; did you mean 'said'"),
        ({"verdict": "out_of_order"}, "order cannot be told from one utterance"),
        ({"why": " "}, "--why is empty"),
    ],
)
def test_a_claim_is_checked_against_the_take(
    procedure: Procedure, changes: dict[str, str], told: str | None
) -> None:
    """Words nobody said, unknown steps and verdicts never reach the corpus."""
    if told is None:
        assert claimed(procedure, **changes).said == "to disarmed, sorry,"
        return
    with pytest.raises(DisputeError) as caught:
        claimed(procedure, **changes)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_duplicate_is_refused(procedure: Procedure, tmp_path: Path) -> None:
    """The same words for the same step stand once, whatever their case and verdict."""
    case = claimed(procedure)
    record(case, tmp_path)
    path = tmp_path / "steps" / "arm-door-2l.jsonl"
    before = path.read_bytes()
    with pytest.raises(CorpusError, match=r"jsonl:1: these words are a case, as 'said'; nothing"):
        record(replace(case, said="To Armed!"), tmp_path)
    with pytest.raises(CorpusError, match="two instructors may differ"):
        record(replace(case, expect=Verdict.WRONG), tmp_path)
    assert path.read_bytes() == before
    record(replace(case, step=procedure.steps[0]), tmp_path)
    assert len(path.read_text().splitlines()) == 2


def test_nothing_of_a_file_is_lost(procedure: Procedure, tmp_path: Path) -> None:
    """A last line without its end is closed first; a line that is no case stops everything."""
    path = tmp_path / "steps" / "arm-door-2l.jsonl"
    path.parent.mkdir()
    path.write_text(json.dumps({"procedure": "x", "step": "y"}))
    assert record(claimed(procedure), tmp_path) == f"{path}:2"
    assert [json.loads(line)["step"] for line in path.read_text().splitlines()] == ["y", "drum"]
    path.write_text("{torn")
    with pytest.raises(CorpusError, match="jsonl:1: not a JSON object; mend that line first"):
        record(claimed(procedure), tmp_path)
    assert path.read_text() == "{torn"
    path.write_bytes(b"\xff")
    with pytest.raises(CorpusError, match="not UTF-8 text"):
        record(claimed(procedure), tmp_path)
    (tmp_path / "file").write_text("")
    with pytest.raises(CorpusError, match="name another folder with --corpus"):
        record(claimed(procedure), tmp_path / "file")


def test_the_words_a_verdict_rests_on() -> None:
    """Where a slip was mended, the slip is part of the case; without words there is none."""
    mended = StepResult("drum", Verdict.SAID, 0.9, "Turn the mode drum to armed", 5.0, 8.0, "")
    assert words_judged(mended, TAKE) == "Turn the mode drum to disarmed, sorry, to armed"
    narrow = StepResult("flap", Verdict.SAID, 0.9, "pull the spring pin.", 2.5, 4.0, "")
    assert words_judged(narrow, TAKE) == "pull the spring pin."
    assert words_judged(StepResult("x", Verdict.NOT_SAID, 0, "", None, None, ""), TAKE) == ""


def test_the_command(
    procedure: Procedure, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One command from a kept take to the corpus; what is wrong is one line and status 2."""
    started = datetime(2026, 10, 1, tzinfo=UTC)
    with TakeWriter.create(
        tmp_path / "takes", procedure, started=started, help_level="quiet", source="words",
        keep_sound=False,
    ) as writer:  # fmt: skip
        for event in TAKE:
            writer.write(event)
    corpus = ["--corpus", str(tmp_path / "corpus"), "--why", "mended at once"]
    take = str(writer.folder)
    assert main(["dispute", take, "drum", "said", "--said", "to armed", *corpus]) == 0
    assert "drum is said in: to armed" in capsys.readouterr().out
    assert main(["dispute", take, "drum", "said", "--said", "to armed", *corpus]) == 2
    assert "these words are a case" in capsys.readouterr().err
    assert main(["dispute", take, "drun", "said", *corpus]) == 2
    assert "did you mean 'drum'" in capsys.readouterr().err
