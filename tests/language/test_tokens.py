from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.language.english import English, lemma

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
# Text of all kinds with many words that mean something here.
texts = st.one_of(
    st.text(max_size=80),
    st.lists(
        st.sampled_from(
            "door two left right c one hundred thousand and twenty not don't can't no never 2L "
            "2 l to for armed, disarmed. 1,000 90degrees both without but".split()
        ),
        max_size=12,
    ).map(" ".join),
)


def forms(text: str) -> list[str]:
    """The normalised words of the text."""
    return [token.form for token in ENGLISH.tokens(text.split())]


def negated(text: str) -> list[str]:
    """The words in the reach of a negation."""
    return [token.form for token in ENGLISH.tokens(text.split()) if token.negated]


@given(texts)
def test_any_text_becomes_tokens(text: str) -> None:
    """Whatever the text, every token has a form and comes from printed words, in their order."""
    words = text.split()
    tokens = ENGLISH.tokens(words)
    assert all(token.form and token.count > 0 for token in tokens)
    assert all(0 <= token.first < token.end <= len(words) for token in tokens)
    assert [t.first for t in tokens] == sorted(t.first for t in tokens)


@given(st.lists(st.text(max_size=12), max_size=12))
def test_any_list_of_words_becomes_tokens(words: list[str]) -> None:
    """Even words with spaces in them, or none at all, do not upset it."""
    assert all(token.end <= len(words) for token in ENGLISH.tokens(words))


@given(st.sampled_from(WORDINGS))
def test_case_and_punctuation_take_no_part(sentence: str) -> None:
    """Capitals, hyphens and stops at the end change no word."""
    assert forms(sentence.upper().replace("-", " ") + "!!") == forms(sentence)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("don't", ["do", "not"]),
        ("Don’t", ["do", "not"]),
        ("cannot", ["can", "not"]),
        ("can't", ["can", "not"]),
        ("won't", ["will", "not"]),
        ("isn't", ["is", "not"]),
        ("ain't", ["is", "not"]),
        ("dont", ["do", "not"]),
        ("it's", ["it", "is"]),
        ("I'm", ["i", "am"]),
        ("crew's", ["crews"]),
        ("'quoted'", ["quoted"]),
        ("cross-check", ["cross", "check"]),
        ("...", []),
        ("", []),
    ],
)
def test_contractions_and_marks(text: str, words: list[str]) -> None:
    """Contractions are opened, hyphens part words, marks alone are nothing."""
    assert forms(text) == words


@pytest.mark.parametrize(
    ("text", "reach"),
    [
        ("do not open the door", ["open", "the", "door"]),
        ("don't open it", ["open", "it"]),
        ("never inflate, then leave", ["inflate"]),
        ("do not open. open it later", ["open"]),
        ("do not open it until the lamp is out", ["open", "it"]),
        ("not armed but disarmed", ["armed"]),
        ("it is not lit and the pane is white", ["lit"]),
        ("the drum is armed not disarmed", ["disarmed"]),
        ("nobody opens it", ["opens", "it"]),
        ("not only armed", []),
        ("without opening the door", []),
        ("the door is armed", []),
    ],
)
def test_reach_of_a_negation(text: str, reach: list[str]) -> None:
    """A negation reaches to the next stop, joint or "until", and no further."""
    assert negated(text) == reach


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("door two um left", ["door", "2L"]),
        ("a hundred uh and twenty", ["a", "120"]),
        ("tell c er one", ["tell", "c1"]),
        ("um two left er armed", ["um", "2L", "er", "armed"]),
    ],
)
def test_hesitations_part_nothing(text: str, words: list[str]) -> None:
    """An "um" within a number, a door or a position goes; elsewhere it stays where it was."""
    assert forms(text) == words


def test_the_negation_itself_is_not_negated() -> None:
    """Two negations do not cancel: each stands for itself."""
    assert "never" not in negated("do not ever never open")


@pytest.mark.parametrize(
    ("form", "base"), [("opened", "open"), ("panes", "pane"), ("turning", "turn")]
)
def test_lemmas(form: str, base: str) -> None:
    """Endings do not tell words apart."""
    assert lemma(form) == base
