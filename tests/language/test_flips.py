from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.language.english import English, flipped

ENGLISH = English()
WORDINGS = sorted(
    {
        wording
        for procedure in all_procedures([SHIPPED])
        if procedure.language == "en"
        for step in procedure.steps
        for wording in (*step.wordings, *step.never)
    }
)
SLOT_WORDS = sorted({" ".join(form) for c in ENGLISH.lexicon.contrasts for form in c.phrases})
sentences = st.lists(
    st.one_of(
        st.sampled_from(SLOT_WORDS),
        st.sampled_from(
            "the door, slide lamp is not do don't two 2L c one turn both switch! never are".split()
        ),
        st.text(min_size=1, max_size=6),
    ),
    min_size=1,
    max_size=10,
).map(" ".join)


def forms(text: str) -> list[str]:
    """The normalised words of the text."""
    return [token.form for token in ENGLISH.tokens(text.split())]


@pytest.mark.parametrize(
    ("sentence", "contrast"),
    [
        ("Turn the drum to armed", "Turn the drum to disarmed"),
        ("Door two left", "Door two right"),
        ("Door two left", "Door three left"),
        ("pull the toggle", "push the toggle"),
        ("the sill lamp is lit", "the sill lamp is out"),
        ("the sill lamp is lit", "the sill lamp is not lit"),
        ("do not inflate the vest", "inflate the vest"),
        ("do not inflate the vest", "do not deflate the vest"),
        ("Slide! Two by two!", "Slide! three by two!"),
        ("tell C1", "tell C2"),
        ("tell c four", "tell C3"),
        ("before you open it", "after you open it"),
        ("turn it a quarter turn", "turn it a half turn"),
        ("both panes are amber", "both panes are white"),
        ("wait six seconds", "wait seven seconds"),
        ("they are armed", "they are not armed"),
        ("the axe is now behind the seat", "the axe is not behind the seat"),
        ("turn it turn in a half", "turn it half turn"),  # an "and" heard as "in"
    ],
)
def test_dangerous_opposites(sentence: str, contrast: str) -> None:
    """What a sentence must not be confused with is among its contrasts."""
    assert contrast in ENGLISH.contrasts(sentence)


@pytest.mark.parametrize(
    "sentence",
    ["", "good morning", "he goes on and on", "what a day"],
)
def test_nothing_to_confuse(sentence: str) -> None:
    """Words that decide only beside their noun have no contrast without it."""
    assert ENGLISH.contrasts(sentence) == ()


def test_a_noun_makes_the_difference() -> None:
    """The same word is a slot beside a lamp and none without."""
    assert ENGLISH.contrasts("it comes on") == ()
    assert "the lamp comes off" in ENGLISH.contrasts("the lamp comes on")


def test_a_number_that_is_seldom_misheard_has_no_contrast() -> None:
    """Only numbers that get confused are flipped, each to what it is taken for."""
    assert ENGLISH.contrasts("ninety degrees") == ()
    assert ENGLISH.contrasts("fifteen degrees") == ("fifty degrees",)


@given(sentences)
def test_flips_keep_the_other_words(sentence: str) -> None:
    """A flip changes the words of its slot and leaves every other printed word where it was."""
    words = sentence.split()
    for flip in ENGLISH.flips(words):
        assert 0 <= flip.first <= flip.first + flip.count <= len(words)
        out = flipped(words, flip).split()
        assert out[: flip.first] == words[: flip.first]
        rest = words[flip.first + flip.count :]
        assert out[len(out) - len(rest) :] == rest
        assert len(out) >= len(words) - flip.count


@given(sentences)
def test_a_contrast_is_another_sentence(sentence: str) -> None:
    """No contrast reads as the sentence itself, and none comes twice."""
    found = ENGLISH.contrasts(sentence)
    assert len(found) == len(set(found))
    assert all(forms(contrast) != forms(sentence) for contrast in found)


@given(sentences)
def test_contrasts_of_any_text_are_its_flips(sentence: str) -> None:
    """Each contrast comes from one flip, so that sound can be tested slot by slot."""
    words = sentence.split()
    assert set(ENGLISH.contrasts(sentence)) == {flipped(words, f) for f in ENGLISH.flips(words)}


@pytest.mark.parametrize("sentence", WORDINGS)
def test_spellings_are_the_same_sentence(sentence: str) -> None:
    """However a recogniser may print a step, it is read as that step; itself comes first."""
    found = ENGLISH.spellings(sentence)
    assert found[0] == sentence
    assert all(forms(spelling) == forms(sentence) for spelling in found)


def test_spellings_of_doors_and_numbers() -> None:
    """Doors and numbers are spelt in letters and in digits."""
    found = ENGLISH.spellings("Door 2L, tell C4 within ninety seconds")
    assert "door two left tell C four within ninety seconds" in found
    assert "door 2L tell c4 within 90 seconds" in found
    assert "door 2 left tell c4 within 90 seconds" in found


@given(sentences)
def test_a_flip_keeps_the_stop(sentence: str) -> None:
    """Punctuation after a flipped slot stays, so that it still ends its clause."""
    words = [*sentence.split(), "disarmed!"]
    last = [f for f in ENGLISH.flips(words) if f.first + f.count == len(words) and f.replacement]
    assert any(f.replacement == "armed" for f in last)
    assert all(flipped(words, f).endswith("!") for f in last)


@pytest.mark.parametrize(
    ("sentence", "opposite"),
    [
        ("Push the toggle in", "Push the toggle out"),
        ("Push the toggle in and hold it", "Push the toggle out and hold it"),
        ("The lamp lights when armed", "The lamp out when armed"),
    ],
)
def test_a_word_at_the_end_of_its_clause_has_an_opposite(sentence: str, opposite: str) -> None:
    """What says a direction or a state there can be confused with its opposite."""
    assert opposite in ENGLISH.contrasts(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "In severe turbulence sit down in the nearest seat",
        "Gas extinguishers are in the locker",
        "The emergency lights last for twelve minutes",
    ],
)
def test_the_same_word_before_a_noun_or_as_one_has_none(sentence: str) -> None:
    """Nobody says "out severe turbulence": no sound is asked for it, no check wastes a trial."""
    made = ENGLISH.contrasts(sentence)
    assert not any(" out " in f" {text} ".lower() for text in made)
