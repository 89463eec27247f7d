"""The small words of clauses: every language has every set, of words that its tokens can be."""

from __future__ import annotations

from dataclasses import fields
from importlib import resources

import pytest
import yaml

from rehearse.language import CODES, load
from rehearse.language.grammar import Grammar, grammar

SETS = [field.name for field in fields(Grammar)]
OF_LETTERS = {"endings", "reversing", "sound_of_c"}  # parts of words, or words as printed


@pytest.mark.parametrize("code", CODES)
def test_a_file_has_every_set_once_and_no_other(code: str) -> None:
    """A misspelt set would be read by nobody, and its words would decide nothing."""
    path = resources.files("rehearse.language").joinpath(f"grammar-{code}.yaml")
    data = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)  # noqa: S506 - all is text
    assert list(data) == SETS
    for name, words in data.items():
        assert len(words) == len(set(words)), name


@pytest.mark.parametrize("code", CODES)
def test_a_set_that_is_part_of_another_is(code: str) -> None:
    """A word would deny a clause in one rule and nothing in the next."""
    words = grammar(code)
    assert words.nots | words.nevers <= words.denials
    assert words.nobody <= words.nothing
    assert words.orderless | words.pointed <= words.order_words
    assert not words.left_first & words.right_first


def test_on_and_no_are_words() -> None:
    """YAML would make true and false of "on", "off", "yes" and "no"."""
    english = grammar("en")
    assert english.placing == {"on", "off"}
    assert english.noes == {"no"}
    assert "yes" in english.answers


@pytest.mark.parametrize("name", sorted(set(SETS) - OF_LETTERS))
def test_korean_words_are_as_tokens_are(name: str) -> None:
    """A word with its particle or ending still on would never meet a token."""
    korean = load("ko")
    assert korean.lexicon.grammar is grammar("ko")
    for word in getattr(grammar("ko"), name) - {"안하다"}:  # which stands for "안" before a verb
        assert [token.form for token in korean.tokens([word])] == [word]
