"""Recogniser slips: a printed word, none of the trade, that sounds like one that is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from rehearse.judge.prepared import Wording
from rehearse.judge.slots import compare, slots
from rehearse.judge.speech import Span
from rehearse.judge.terms import coverage
from rehearse.language import Language
from rehearse.language.forms import WordForms
from rehearse.language.lexicon import Lexicon
from rehearse.language.token import Token

ALIKE = 0.7  # likeness of spelling for a misprint of a word of four letters or more
SHORT = 3  # letters of a word that is found by its sound alone; longer ones by spelling too
NEAR = 0.6  # the same for a word that decides a step


@dataclass(frozen=True)
class Mended:
    """The text with misprints put right; `slots` are the words put right that decide a step."""

    text: str
    changes: tuple[tuple[str, str], ...]
    slots: tuple[str, ...]


def mend(span: Span, wording: Sequence[Token], known: frozenset[str], lexicon: Lexicon) -> Mended:
    """The span's text with words unknown to the procedure read as the wording's missing words.

    `known` are the words that are right as they stand: those of the procedure and of the lexicon.
    """
    words = [token.form for token in span.tokens]
    known -= _idle(words, wording, lexicon)
    lemma = lexicon.words.lemma
    bases = {lemma(word) for word in words}
    missing = [
        t.form
        for t in wording
        if t.kind in {"word", "position"}
        and t.form not in words
        and (lemma(t.form) not in bases or t.form in lexicon.contrast_words)
        and t.form not in lexicon.stop_words
    ]
    spelt = lexicon.words.spelt
    missing += [spelt(int(t.form)) for t in wording if t.kind == "number" and t.form not in words]
    out: list[str] = []
    changes: list[tuple[str, str]] = []
    slots: list[str] = []
    at = 0
    while at < len(words):
        repair = _repair_at(words, at, missing, known, lexicon)
        if repair is not None:
            missing.remove(repair.word)
            changes.append((" ".join(words[at : at + repair.count]), repair.word))
            if _deciding(repair.word, lexicon) and not repair.certain:
                slots.append(repair.word)
        out.append(repair.word if repair else words[at])
        at += repair.count if repair else 1
    return Mended(" ".join(out), tuple(changes), tuple(slots))


def mended_wording(
    span: Span,
    wordings: Sequence[Wording],
    nearest: Wording,
    known: frozenset[str],
    tongue: Language,
) -> tuple[Wording, Mended]:
    """The wording that the span says most of once misprints are put right, and the mended span.

    The reader's nearest wording was chosen before mending, which misprints may have led astray; it
    stays where no other one comes out ahead, or supplies a word that it must name and lacks.
    """
    as_heard = max(coverage(wording.terms, span.tokens, tongue) for wording in wordings)
    best, best_mended = nearest, mend(span, nearest.tokens, known, tongue.lexicon)
    said = slots(span.tokens, tongue.lexicon)
    lacking = any(slot.named for slot in compare(nearest.slots, said).missing)
    best_share = max(as_heard, _covered(best, best_mended, tongue))
    for wording in wordings:
        mended = mend(span, wording.tokens, known, tongue.lexicon)
        share = _covered(wording, mended, tongue)
        ahead = share > best_share or (lacking and not best_mended.changes and share == best_share)
        if mended.changes and ahead:
            best, best_mended, best_share = wording, mended, share
    return best, best_mended


def _covered(wording: Wording, mended: Mended, tongue: Language) -> float:
    return coverage(wording.terms, tongue.tokens(mended.text.split()), tongue)


def _idle(words: Sequence[str], wording: Sequence[Token], lexicon: Lexicon) -> frozenset[str]:
    """Words that decide only beside nouns that neither the span nor the wording has.

    "Flat" speaks of slides; where there is none it may be the flap.
    """
    present = frozenset(words) | {token.form for token in wording}
    decides: dict[str, bool] = {}
    for contrast in lexicon.contrasts:
        speaks = not contrast.near or bool(contrast.near & present)
        for phrase in contrast.phrases:
            if len(phrase) == 1:
                decides[phrase[0]] = decides.get(phrase[0], False) or speaks
    elsewhere = lexicon.stop_words | lexicon.synonyms.keys() | {token.form for token in wording}
    return frozenset(word for word, live in decides.items() if not live) - elsewhere


@dataclass(frozen=True)
class _Repair:
    """A misprint of `count` words that stands for `word`; certain when only the spacing is off."""

    word: str
    count: int
    certain: bool


def _repair_at(
    words: Sequence[str],
    at: int,
    missing: Sequence[str],
    known: frozenset[str],
    lexicon: Lexicon,
) -> _Repair | None:
    following = words[at + 1] if at + 1 < len(words) else ""
    if following:
        pair = words[at] + following
        position = f"c{following}" if words[at] in lexicon.grammar.sound_of_c else ""
        both_known = words[at] in known and following in known
        for want in missing:
            if want in {pair, position}:
                return _Repair(want, 2, certain=True)
            if len(want) <= SHORT or both_known:
                continue
            near = _deciding(want, lexicon) and _slurred(pair, want, lexicon.words)
            if near or _sounds_like(pair, want, lexicon.words):
                return _Repair(want, 2, certain=False)
    if words[at] in known:
        return None
    for want in missing:
        near = _deciding(want, lexicon) and _near(words[at], want, lexicon.words)
        if near or _sounds_like(words[at], want, lexicon.words):
            return _Repair(want, 1, certain=False)
    return None


def _sounds_like(printed: str, wanted: str, forms: WordForms) -> bool:
    if len(wanted) < SHORT or len(printed) < 2:
        return False
    if forms.skeleton(printed) == forms.skeleton(wanted) and abs(len(printed) - len(wanted)) <= 2:
        return True
    return len(wanted) > SHORT and Levenshtein.normalized_similarity(printed, wanted) >= ALIKE


def _deciding(word: str, lexicon: Lexicon) -> bool:
    return word in lexicon.contrast_words or word in lexicon.words.numbers


def _near(printed: str, wanted: str, forms: WordForms) -> bool:
    """A looser likeness, for words that decide: it only ever leads to doubt, not to credit."""
    if Levenshtein.normalized_similarity(printed, wanted) >= NEAR:
        return True
    one, other = forms.skeleton(printed), forms.skeleton(wanted)
    return len(other) > 1 and forms.muffled(one) == forms.muffled(other)


def _slurred(printed: str, wanted: str, forms: WordForms) -> bool:
    """Whether two words may be one that decides, as many an accent says it: only a doubt, too."""
    one, other = (forms.slurred(forms.skeleton(word)) for word in (printed, wanted))
    return len(other) >= SHORT and one == other
