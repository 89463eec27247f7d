from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.judge.terms import coverage, found, rarities, term, terms_of
from rehearse.language.english import English
from rehearse.language.lexicon import Contrast

ENGLISH = English()
PANES = "Check both witness panes show the amber band and the sill lamp is lit"
texts = st.lists(
    st.sampled_from("the both panes witness amber band sill lamp lit drum armed door a".split()),
    max_size=12,
)


def share(wording: str, said: str) -> float:
    """The coverage of the wording's key terms."""
    return coverage(terms_of(wording, {}, ENGLISH), ENGLISH.tokens(said.split()), ENGLISH)


def test_a_wording_covers_itself() -> None:
    """Read off, all key terms are there; in silence, none."""
    assert share(PANES, PANES) == 1
    assert share(PANES, "") == 0


def test_a_share_is_the_same_on_every_run() -> None:
    """Words kept in a set come in another order on every run, and with it sums in another last bit.

    Two wordings that are covered alike would take turns, and a take judged twice would differ.
    """
    names = PANES.lower().split()
    rarity = {name: (at + 1) ** -0.5 for at, name in enumerate(names)}
    for first in range(len(names)):
        said = ENGLISH.tokens(names[first:])
        terms = terms_of(PANES, rarity, ENGLISH)
        hit = found(terms, said, ENGLISH)
        in_order = sum(weight for name, weight in terms.weights.items() if name in hit)
        assert coverage(terms, said, ENGLISH) == in_order / terms.total


def test_synonyms_and_endings_cover_too() -> None:
    """A term is covered by its synonyms and other forms."""
    assert share("Lift the flap", "raised flaps") == 1
    assert share("Close the door", "door shut") == 1


def test_small_words_cover_nothing() -> None:
    """Words that any sentence has carry no weight."""
    assert share(PANES, "the and of to check that it is") < 0.15


def test_a_rare_term_weighs_more() -> None:
    """A term that every step has tells less than one of this step alone."""
    rarity = rarities([["the red door"], ["the door"], ["a door"]], ENGLISH)
    assert rarity["red"] == 1
    assert rarity["door"] == pytest.approx(3**-0.5)


def test_a_misprint_of_a_long_word_is_found() -> None:
    """A long word spelt nearly alike counts, a short one does not."""
    terms = terms_of("witness pin", {}, ENGLISH)
    assert found(terms, ENGLISH.tokens(["witnes", "pen"]), ENGLISH) == {"witness"}


@given(texts, texts)
def test_more_words_never_cover_less(one: list[str], two: list[str]) -> None:
    """Coverage lies in 0..1 and does not fall when more is said."""
    little, more = share(PANES, " ".join(one)), share(PANES, " ".join(one + two))
    assert 0 <= little <= more <= 1 + 1e-9


@pytest.mark.parametrize("contrast", ENGLISH.lexicon.contrasts, ids=lambda c: c.name)
def test_opposites_are_different_terms(contrast: Contrast) -> None:
    """No word covers its own opposite."""
    words = [(form[0], value) for form, value in contrast.phrases.items() if len(form) == 1]
    for (one, value), (two, other) in combinations(words, 2):
        if value != other:
            (first,), (second,) = ENGLISH.tokens([one]), ENGLISH.tokens([two])
            assert term(first, ENGLISH) is None or term(first, ENGLISH) != term(second, ENGLISH)
