"""The pairs that step judges learn from keep the labels that people gave."""

from __future__ import annotations

from rehearse.fit.examples import Example, examples, unlabelled
from rehearse.fit.rows import Row
from rehearse.weights.step_judge import LABELS

STEPS = {
    "Close the blue valve": ("i close the blue valve", "i open the blue valve"),
    "Latch both bins": ("both bins are latched", "one bin is latched"),
    "Dim the cabin lights": ("cabin lights dimmed", "cabin lights on full"),
}
ROWS = [
    Row("group", step, critical=True, said=said, expect=expect, kind="paraphrase")
    for step, sayings in STEPS.items()
    for said, expect in zip(sayings, ("said", "wrong"), strict=True)
]
SAID, NOT_SAID = LABELS.index("said"), LABELS.index("not_said")


def test_every_row_is_learnt_under_its_own_label() -> None:
    """A judge would be taught that a wrong saying is right."""
    drawn = [pair for seed in range(20) for pair in examples(ROWS, seed)]
    for row in ROWS:
        own = Example(row.step.lower(), row.said, LABELS.index(row.expect))
        assert own in drawn
    wrong = {sayings[1] for sayings in STEPS.values()}
    assert not [pair for pair in drawn if pair.said in wrong and pair.label == SAID]


def test_what_is_right_for_another_step_is_not_said() -> None:
    """A judge would not learn that another step's words say nothing of this one."""
    labels = {
        pair.label
        for pair in examples(ROWS, 3)
        if pair.step == "latch both bins" and pair.said == "cabin lights dimmed"
    }
    assert labels == {NOT_SAID}


def test_the_same_seed_draws_the_same_pairs() -> None:
    """A fit could not be repeated."""
    assert examples(ROWS, 5) == examples(ROWS, 5)
    assert examples(ROWS, 5) != examples(ROWS, 6)
    assert unlabelled(ROWS, 5) == unlabelled(ROWS, 5)


def test_unlabelled_pairs_differ_by_one_word_from_a_saying() -> None:
    """Teachers would be asked about texts that nobody would say."""
    pairs = unlabelled(ROWS, 1)
    assert len(pairs) == len(ROWS)
    for (step, said), row in zip(pairs, ROWS, strict=True):
        assert step == row.step.lower()
        assert len(row.said.split()) - len(said.split()) in {0, 1}
