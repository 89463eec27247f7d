from __future__ import annotations

from itertools import combinations
from string import Formatter

import pytest

from rehearse.errors import RehearseError
from rehearse.language import load
from rehearse.language.english import English
from rehearse.language.lexicon import Contrast, lexicon

ENGLISH = English()
LEXICON = ENGLISH.lexicon


@pytest.mark.parametrize("contrast", LEXICON.contrasts, ids=lambda c: c.name)
def test_a_contrast_set_is_sound(contrast: Contrast) -> None:
    """Every row has a phrase a value, and no phrase says two values of the set."""
    said: dict[tuple[str, ...], str] = {}
    phrases = [
        (form, value)
        for row in contrast.rows
        for form, value in zip(row, contrast.values, strict=True)
    ]
    phrases += [(form, value) for value, forms in contrast.also.items() for form in forms]
    for form, value in phrases:
        assert value in contrast.values
        assert said.setdefault(form, value) == value


@pytest.mark.parametrize("contrast", LEXICON.contrasts, ids=lambda c: c.name)
def test_every_phrase_flips_to_other_values(contrast: Contrast) -> None:
    """Each phrase has opposites, and none of them says the same value."""
    for form, value in contrast.phrases.items():
        others = contrast.flipped(form, value)
        assert others
        assert all(contrast.phrases[other] != value for other in others)


@pytest.mark.parametrize("contrast", LEXICON.contrasts, ids=lambda c: c.name)
def test_opposites_never_sound_the_same(contrast: Contrast) -> None:
    """No two values of a set have words that sound alike, or sound could not tell them apart."""
    for (one, value), (two, other) in combinations(contrast.phrases.items(), 2):
        if value != other and len(one) == len(two) == 1:
            assert not LEXICON.sound_alike(one[0], two[0])


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("to", "two"),
        ("two", "too"),
        ("for", "four"),
        ("right", "rite"),
        ("write", "right"),
        ("one", "won"),
        ("eight", "ate"),
        ("brake", "break"),
        ("armed", "armed"),
        ("unlisted", "unlisted"),
    ],
)
def test_words_that_sound_the_same(one: str, other: str) -> None:
    """Homophones are known in both directions, and a word sounds like itself."""
    assert LEXICON.sound_alike(one, other)
    assert LEXICON.sound_alike(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [("armed", "harmed"), ("left", "lift"), ("two", "three"), ("open", "closed"), ("to", "for")],
)
def test_words_that_do_not_sound_the_same(one: str, other: str) -> None:
    """Words that merely look alike are no homophones."""
    assert not LEXICON.sound_alike(one, other)


def test_lists_are_longest_first() -> None:
    """A longer phrase is tried before a shorter one that begins it."""
    for forms in (LEXICON.fillers, LEXICON.corrections, LEXICON.hypotheticals, LEXICON.joints):
        assert [len(form) for form in forms] == sorted((len(f) for f in forms), reverse=True)


def test_phrases_are_written_as_they_are_heard() -> None:
    """Every phrase of the lists is read as the very words it is written with."""
    lists = (LEXICON.fillers, LEXICON.corrections, LEXICON.hypotheticals, LEXICON.joints)
    for forms in (*lists, LEXICON.restarts, LEXICON.undone, tuple(LEXICON.durations)):
        for form in forms:
            assert tuple(token.form for token in ENGLISH.tokens(form)) == form


def test_no_word_of_a_list_is_read_as_something_else() -> None:
    """Words that YAML might take for truth or nothing stay words."""
    assert {"on", "off"} <= {form[0] for c in LEXICON.contrasts for form in c.phrases}
    assert "no" in LEXICON.negations


def test_synonyms_have_one_head() -> None:
    """A head of synonyms stands for itself, so that looking up twice changes nothing."""
    assert [h for h in LEXICON.synonyms.values() if LEXICON.synonyms[h] != h] == []


def test_reasons_ask_for_known_values_only() -> None:
    """Every reason can be filled in with what the judge offers."""
    offered = {
        *("say", "heard", "slip", "missing", "slot"),
        *("expected", "word", "before", "after", "title"),
    }
    for reason in LEXICON.reasons.values():
        fields = {name for _, name, _, _ in Formatter().parse(reason) if name is not None}
        assert fields <= offered


def test_the_lexicon_is_read_once() -> None:
    """Loading again gives the same object, so that judging many takes costs no reading."""
    assert lexicon("en") is lexicon("en")


def test_a_language_by_its_code() -> None:
    """English is built in; another language is one clear line."""
    assert load("en").code == "en"
    with pytest.raises(RehearseError, match="language 'xx' is not known") as caught:
        load("xx")
    assert "\n" not in str(caught.value)
