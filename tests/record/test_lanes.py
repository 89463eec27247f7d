from __future__ import annotations

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from rehearse.record.lanes import Label, Placed, flow, place, shorten, text_width, wrap

labels = st.builds(Label, x=st.floats(0, 900), width=st.floats(1, 300))


def overlapping(placed: list[tuple[Placed, Label]]) -> bool:
    """Whether any two labels in one lane touch."""
    return any(
        a.lane == b.lane and a.x < b.x + w.width - 1e-6 and b.x < a.x + v.width - 1e-6
        for (a, v), (b, w) in combinations(placed, 2)
    )


@given(st.lists(labels, max_size=30))
def test_placed_labels_never_overlap(wanted: list[Label]) -> None:
    """Labels that come in any order never lie on each other, and all stay within the row."""
    placed = place(wanted, 900, 4)
    assert not overlapping(list(zip(placed, wanted, strict=True)))
    assert all(
        spot.x >= 0 and spot.x + label.width <= 900 + 1e-6
        for spot, label in zip(placed, wanted, strict=True)
    )


@given(st.lists(st.lists(labels, max_size=12), max_size=4))
def test_flowing_labels_never_overlap(groups: list[list[Label]]) -> None:
    """Sentences never lie on each other, and stay within the row."""
    groups = [sorted(group, key=lambda label: label.x) for group in groups]
    placed = flow(groups, 900, 4, 40)
    pairs = [
        pair
        for spots, group in zip(placed, groups, strict=True)
        for pair in zip(spots, group, strict=True)
    ]
    assert not overlapping(pairs)
    assert all(spot.x >= 0 and spot.x + label.width <= 900 + 1e-6 for spot, label in pairs)


@given(st.lists(labels, min_size=1, max_size=20))
def test_a_sentence_reads_downwards(words: list[Label]) -> None:
    """Within a sentence each word is right of the one before, or on a line further down."""
    words.sort(key=lambda label: label.x)
    (placed,) = flow([words], 900, 4, 40)
    for before, after in pairwise(placed):
        assert after.lane > before.lane or (after.lane == before.lane and after.x > before.x)


def test_a_crowded_word_stays_on_its_line() -> None:
    """A word that is a little crowded moves right; one that is too crowded begins a new line."""
    (placed,) = flow([[Label(0, 50), Label(40, 50), Label(50, 50), Label(300, 20)]], 900, 4, 40)
    assert placed == (Placed(0, 0), Placed(54, 0), Placed(50, 1), Placed(300, 1))


def test_width_of_scripts() -> None:
    """Wide characters count double, marks that combine count nothing."""
    assert text_width("门", 10) > 1.5 * text_width("d", 10)
    assert text_width("e\u0301", 10) == text_width("e", 10)
    assert text_width("", 10) == 0


@given(st.text(max_size=60), st.floats(10, 400))
def test_shortened_text_fits(text: str, width: float) -> None:
    """A text that is too wide is cut to fit, one that fits is left as it is."""
    cut = shorten(text, 12, width)
    assert cut == text or (cut.endswith("\u2026") and text_width(cut, 12) <= max(width, 12))


def test_wrapped_lines_keep_every_word() -> None:
    """Lines hold all words in order; only a word wider than a whole line is cut."""
    words = "you left out the witness panes".split()
    lines = wrap(words, 12, 110)
    assert " ".join(lines).split() == words
    assert len(lines) > 1
    assert all(text_width(line, 12) <= 110 for line in lines)
    assert wrap(["x" * 200], 12, 60)[0].endswith("\u2026")
    assert wrap([], 12, 60) == ()
