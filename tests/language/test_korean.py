"""Korean as tokens: particles, verbs, numbers, doors and denials of what crews say."""

from __future__ import annotations

import re
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.language import Language, load
from rehearse.language.korean_forms import sino, spelt
from rehearse.language.korean_sounds import skeleton
from rehearse.language.korean_verbs import ENDINGS, conjugated, in_same_form
from rehearse.language.korean_words import stems, words

KOREAN: Language = load("ko")
ALIKE = {
    "켜다": {"켜지다"},
    "열다": {"열리다"},
    "부풀다": {"부풀리다"},
}  # verbs some forms of which are another's


def forms(text: str) -> list[str]:
    """The forms of a text's tokens."""
    return [token.form for token in KOREAN.tokens(text.split())]


@pytest.mark.parametrize(
    "text",
    ["덮개를 연다", "덮개를 열고", "덮개를 열었습니다", "덮개를 엽니다", "덮개를 여세요",
     "덮개를 열어", "덮개를 여는"],
)  # fmt: skip
def test_a_verb_in_any_form_is_one_word(text: str) -> None:
    """A trainee who says "엽니다" for "연다" would be told that the verb was missing."""
    assert forms(text)[0] == "덮개"
    assert forms(text)[-1] == "열다"


@pytest.mark.parametrize(
    ("word", "base"),
    [("손잡이를", "손잡이"), ("손잡이", "손잡이"), ("드럼은", "드럼"), ("문턱에서", "문턱"),
     ("확인한다", "확인"), ("확인합니다", "확인"), ("호박색이고", "호박색"), ("흰색인지", "흰색"),
     ("켜졌는지", "켜지다"), ("꺼져", "꺼지다"), ("돌려서", "돌리다"), ("눌러", "누르다")],
)  # fmt: skip
def test_words_come_down_to_their_base(word: str, base: str) -> None:
    """A particle or an ending would make another word of the same noun or verb."""
    assert words().base(word) == base


@pytest.mark.parametrize("text", ["동료에게", "동료한테"])
def test_who_is_spoken_to_is_marked(text: str) -> None:
    """Whoever tells a colleague something could not be told from a colleague who says it."""
    assert forms(text) == ["동료", "에게"]
    assert forms("동료가") == ["동료"]


@pytest.mark.parametrize("word", ["여기", "여섯", "열쇠"])
def test_a_noun_that_begins_like_a_verb_is_none(word: str) -> None:
    """ "여기" ("here") would count as opening something."""
    assert words().verb(word) is None


@pytest.mark.parametrize(
    "text", ["2번 왼쪽 문", "이번 왼쪽 문", "왼쪽 2번 문", "2번 문 왼쪽", "2L", "2번 좌측 도어"]
)
def test_a_door_in_any_order(text: str) -> None:
    """The same door named another way would be another door."""
    assert [(t.form, t.kind) for t in KOREAN.tokens(text.split())] == [("2L", "door")]


@pytest.mark.parametrize(
    ("text", "number"),
    [("육 초", "6"), ("육초를", "6"), ("6초", "6"), ("두 번", "2"), ("구십 도", "90"),
     ("백팔십 도", "180"), ("양쪽", "2"), ("표시창 두 개", "2")],
)  # fmt: skip
def test_numbers_of_both_kinds(text: str, number: str) -> None:
    """Sino-Korean, native and printed numbers would not agree with each other."""
    assert [t.form for t in KOREAN.tokens(text.split()) if t.kind == "number"] == [number]


@pytest.mark.parametrize("text", ["이 문을 연다", "이번에는 문을 연다", "일이 많다"])
def test_a_syllable_without_a_counter_is_no_number(text: str) -> None:
    """ "이" ("this") would be read as two."""
    assert [t for t in KOREAN.tokens(text.split()) if t.kind == "number"] == []


@given(st.integers(0, 9999))
def test_a_spelt_number_is_read_back(value: int) -> None:
    """A number written out would be read as another."""
    assert sino(spelt(value)) == value


@pytest.mark.parametrize(
    ("text", "denied"),
    [("문을 열지 않는다", "열다"), ("문을 열지 마세요", "열다"), ("문을 안 엽니다", "열다"),
     ("정상이 아니라 팽창", "정상"), ("불이 없다", "불"), ("문을 안엽니다", "열다"),
     ("문을 열지 못한다", "열다"), ("팽창 위치가 아닙니다", "위치")],
)  # fmt: skip
def test_a_denial_marks_what_it_denies(text: str, denied: str) -> None:
    """A denied step would read like one that was done."""
    assert [t.form for t in KOREAN.tokens(text.split()) if t.negated] == [denied]


@pytest.mark.parametrize(
    ("sentence", "opposite"),
    [("모드 드럼을 팽창 위치에 놓는다", "모드 드럼을 정상 위치에 놓는다"),
     ("2번 왼쪽 문 팽창 위치", "2번 오른쪽 문 팽창 위치"),
     ("손바퀴를 화살표 쪽으로 돌린다", "손바퀴를 화살표 반대쪽으로 돌린다"),
     ("표시창이 흰색이다", "표시창이 호박색이다"),
     ("손바퀴를 반 바퀴 돌린다", "손바퀴를 한 바퀴 돌린다"),
     ("문을 연다.", "문을 닫는다."), ("문을 닫습니다", "문을 엽니다"),
     ("문을 열고 나간다", "문을 닫고 나간다"), ("문을 열기 전에", "문을 닫기 전에"),
     ("손잡이를 당겨서", "손잡이를 밀어서"), ("손잡이를 미세요", "손잡이를 당기세요"),
     ("손잡이를 잡으며", "손잡이를 놓으며"), ("등이 켜졌는지 본다", "등이 꺼졌는지 본다"),
     ("등을 끄고", "등을 켜고"), ("등을 꺼라", "등을 켜라"),
     ("두 상태가 달라요", "두 상태가 같아요"),
     ("슬라이드가 차면", "슬라이드가 비면"), ("덮개가 닫혔는지", "덮개가 열렸는지"),
     ("2번 왼쪽 문 닫힘", "2번 왼쪽 문 열림"), ("문이 열려 있다", "문이 닫혀 있다")],
)  # fmt: skip
def test_opposites_that_the_sound_is_asked_about(sentence: str, opposite: str) -> None:
    """The flip test would not ask whether the opposite was said."""
    assert opposite in KOREAN.contrasts(sentence)


@pytest.mark.parametrize(
    "text",
    ["문을 엽니까?", "문을 열까", "문을 열려고 했다", "문 여는 것을 잊었다", "문을 열 뻔했다"],
)
def test_what_claims_nothing(text: str) -> None:
    """A question, or what was left undone, would be credited as done."""
    assert not KOREAN.claims(text.split())
    assert KOREAN.claims("문을 연다".split())


@pytest.mark.parametrize("verb", words().verbs)
def test_every_listed_verb_knows_its_own_forms(verb: str) -> None:
    """A verb of the data would not be known in its dictionary form or with "고"."""
    assert words().verb(verb) == verb
    assert words().verb(f"{verb[:-1]}고") == verb
    assert len({stem.text for stem in stems(verb)}) >= 1


@pytest.mark.parametrize("verb", words().verbs)
def test_a_verb_put_into_a_form_is_known_in_it(verb: str) -> None:
    """The flip test would ask the sound about a word that no Korean says."""
    for ending in ENDINGS:
        assert words().verb(conjugated(verb, ending)) in {verb, *ALIKE.get(verb, set())}


@pytest.mark.parametrize(
    ("verb", "other"),
    [(one[0], other[0]) for contrast in KOREAN.lexicon.contrasts for row in contrast.rows
     for one, other in permutations(row, 2) if {one[0], other[0]} <= set(words().verbs)],
)  # fmt: skip
def test_a_verb_flipped_twice_is_itself(verb: str, other: str) -> None:
    """A flip would change more than the verb: its time, its politeness, its place in a clause."""
    for ending in ENDINGS:
        word = conjugated(verb, ending)
        flipped = in_same_form(word, verb, other)
        assert words().verb(flipped) in {other, *ALIKE.get(other, set())}
        assert in_same_form(flipped, other, verb) == word


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("새것", "세것", True), ("낮", "낫", True), ("왼쪽", "웬쪽", True), ("부엌", "부억", True),
     ("켜다", "꺼다", False), ("문", "물", False), ("왼쪽", "오른쪽", False)],
)  # fmt: skip
def test_words_that_sound_the_same_have_one_skeleton(one: str, other: str, same: bool) -> None:
    """A recogniser's spelling of the right word would count as another word, or the reverse."""
    assert (skeleton(one) == skeleton(other)) is same


def test_no_reason_hangs_a_particle_on_what_it_quotes() -> None:
    """The coach would say "정상라고", whose particle goes with a vowel only."""
    particle = re.compile(r"\}(?:이?라고|으?로|[은는이가을를과와])(?![가-힣])")
    assert [text for text in KOREAN.lexicon.reasons.values() if particle.search(text)] == []
    assert particle.search("{slot}라고 했지만")


@given(st.lists(st.text(alphabet=st.characters(categories=["L", "N", "P", "Z"]), max_size=8)))
def test_any_text_makes_tokens(texts: list[str]) -> None:
    """Odd signs from a recogniser would end the take."""
    printed = " ".join(texts).split()
    assert all(0 <= t.first < t.end <= len(printed) for t in KOREAN.tokens(printed))
    KOREAN.flips(printed)
