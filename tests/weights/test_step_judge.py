"""The step judges: loaded as they were fitted, and giving the same answer in any company."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.errors import ModelError
from rehearse.weights.step_judge import LABELS, StepJudge, _columns, readable

DRUM = "Turn the mode drum a quarter turn towards the hinge to armed"
TOGGLE = "Pull the red toggle on the inner left of the sill"
PANES = "Check both witness panes show the amber band and the sill lamp is lit"

# Cases both judges get right, so that joining the two texts wrongly would show. They are no
# measure of the judges, which do err: models/README.md has their rates on cases never seen.
PLAIN = [
    (DRUM, "rotate the mode drum ninety degrees to the hinge to armed", "said"),
    (DRUM, "I turn the drum a quarter turn away from the hinge to disarmed", "wrong"),
    (DRUM, "then I tell the lead that the trolleys are stowed", "not_said"),
    (TOGGLE, "red toggle, inner left of the sill, pulled", "said"),
    (TOGGLE, "what time does the hotel bus leave tomorrow", "not_said"),
    (PANES, "both panes show amber and the sill lamp is on", "said"),
    (PANES, "I check that both panes show the amber band", "incomplete"),
]


@pytest.fixture(scope="module", params=["step-judge-mpnet", "step-judge-minilm"])
def judge(request: pytest.FixtureRequest) -> StepJudge:
    """Each of the two judges, loaded once."""
    return StepJudge(request.param)


@pytest.mark.parametrize(("step", "utterance", "label"), PLAIN)
def test_plain_cases(judge: StepJudge, step: str, utterance: str, label: str) -> None:
    """With the two texts joined as in fitting, plain cases are labelled as an instructor would."""
    (row,) = judge.said([(step, utterance)])
    assert LABELS[int(row.argmax())] == label


def test_rows_are_probabilities(judge: StepJudge) -> None:
    """One row a pair, four columns, float32, none negative, each row adding up to one."""
    rows = judge.said([(step, utterance) for step, utterance, _ in PLAIN])
    assert rows.shape == (len(PLAIN), 4)
    assert rows.dtype == np.float32
    assert (rows >= 0).all()
    assert np.allclose(rows.sum(axis=1), 1, atol=1e-5)


def test_no_pairs_give_no_rows(judge: StepJudge) -> None:
    """An empty question is answered with an empty table of the right width."""
    assert judge.said([]).shape == (0, 4)


def test_company_changes_nothing(judge: StepJudge) -> None:
    """A pair has exactly the same probabilities alone, in a crowd, and from memory."""
    pairs = [(step, utterance) for step, utterance, _ in PLAIN]
    together = judge.said(pairs)
    fresh = StepJudge(judge.name, remembered=1)
    alone = np.concatenate([fresh.said([pair]) for pair in reversed(pairs)])[::-1]
    assert np.array_equal(together, alone)
    assert np.array_equal(judge.said(pairs), together)


def test_spelling_and_punctuation_are_not_read(judge: StepJudge) -> None:
    """Case, commas and hyphens make no difference; the words do."""
    first, second = judge.said([(DRUM, "Drum: turned, to ARMED!"), (DRUM, "drum turned to armed")])
    assert np.array_equal(first, second)


def test_a_result_may_be_written_on(judge: StepJudge) -> None:
    """What a caller does to its table does not reach what the judge remembers."""
    pair = (DRUM, "drum to armed")
    before = judge.said([pair]).copy()
    judge.said([pair])[:] = 7
    assert np.array_equal(judge.said([pair]), before)


def test_very_long_and_empty_texts(judge: StepJudge) -> None:
    """An hour of words and none at all both get a row, and neither is credited."""
    rows = judge.said([(DRUM, "and so on " * 5000), (DRUM, ""), (DRUM, "...")])
    assert rows.shape == (3, 4)
    assert (rows[:, 0] < 0.5).all()
    assert np.array_equal(rows[1], rows[2])


def test_memory_is_bounded() -> None:
    """The judge keeps as many results as it was told to, the latest."""
    judge = StepJudge("step-judge-minilm", remembered=3)
    judge.said([(DRUM, f"word {number}") for number in range(10)])
    assert len(judge._cache) == 3
    assert (readable(DRUM), "word 9") in judge._cache


def test_columns_follow_the_labels_file(tmp_path: Path) -> None:
    """A model whose labels come in another order is still read in ours."""
    labels = tmp_path / "labels.json"
    labels.write_text(json.dumps({"labels": ["wrong", "not_said", "said", "incomplete"]}))
    assert _columns(labels) == [2, 3, 0, 1]


def test_an_altered_model_is_refused(tmp_path: Path) -> None:
    """The judge does not load from a folder that fails its checksums."""
    with pytest.raises(ModelError, match="missing"):
        StepJudge("step-judge-minilm", tmp_path)


@given(st.text())
def test_reading_is_idempotent(text: str) -> None:
    """Cleaning a clean text changes nothing, and leaves only what the judges were taught."""
    once = readable(text)
    assert readable(once) == once
    assert "  " not in once
    assert not set(once) & set(",.!?;:-_\n\t")
