"""Utterances made ready for judging: tokens with slips mended, and the spans steps may lie in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rehearse.events import Heard
from rehearse.judge.repair import repair
from rehearse.language import Language
from rehearse.language.token import Token

PAUSE = 0.7  # seconds between words that part two clauses
LONG = 14  # tokens above which a clause is searched by windows as well
BESIDE = 8  # tokens on each side of a span that are kept with it
WIDEST = 48  # tokens in one span at most


@dataclass(frozen=True)
class Spoken:
    """One token of an utterance with the printed word it came from and when it was said.

    doubtful: the flip test left the word open; see `rehearse.events.SlotCheck`.
    maybe_denied: it left open whether a "not" stands here, or stands right after.
    """

    token: Token
    text: str
    start: float
    end: float
    doubtful: bool = False
    maybe_denied: bool = False


@dataclass(frozen=True)
class Span:
    """A stretch of one utterance, or of two in a row.

    utterance: index of the utterance it starts in.
    first, last: token positions in the whole take (last exclusive); a later span is later.
    unmended: the words with the slips that were mended; "" when none were.
    before, after: the tokens of the utterance next to the span, a few on each side, so that a
        denial is not lost with the words that a span leaves out.
    """

    utterance: int
    first: int
    last: int
    spoken: tuple[Spoken, ...]
    unmended: str = ""
    before: tuple[Token, ...] = ()
    after: tuple[Token, ...] = ()

    @property
    def raw(self) -> str:
        """The words as they were heard, slips and corrections included."""
        return self.unmended or self.text

    @cached_property
    def tokens(self) -> tuple[Token, ...]:
        """The tokens of the span."""
        return tuple(spoken.token for spoken in self.spoken)

    @cached_property
    def text(self) -> str:
        """The words as they were heard, slips left out."""
        return " ".join(_printed(self.spoken))

    @property
    def start(self) -> float:
        """Seconds into the take."""
        return self.spoken[0].start

    @property
    def end(self) -> float:
        """Seconds into the take."""
        return self.spoken[-1].end

    def overlaps(self, other: Span) -> bool:
        """Whether the two share any word."""
        return self.first < other.last and other.first < self.last


@dataclass(frozen=True)
class Utterance:
    """One thing heard: its mended tokens, where its clauses end, and what was mended away.

    mended: the speaker took something back.
    """

    index: int
    offset: int
    spoken: tuple[Spoken, ...]
    bounds: tuple[int, ...]
    mended: bool
    heard: Heard

    def span(self, first: int, last: int) -> Span:
        """The tokens [first, last) of this utterance."""
        at = self.offset
        whole = first == 0 and last == len(self.spoken)
        raw = self.heard.text if whole and self.mended else ""
        before = tuple(s.token for s in self.spoken[max(0, first - BESIDE) : first])
        after = tuple(s.token for s in self.spoken[last : last + BESIDE])
        return Span(self.index, at + first, at + last, self.spoken[first:last], raw, before, after)

    @property
    def whole(self) -> Span:
        """All of it."""
        return self.span(0, len(self.spoken))


def utterances(
    heards: Sequence[Heard], language: Language, doubtful_margin: float
) -> list[Utterance]:
    """The heard utterances, ready for judging; those of fillers alone are passed over."""
    made: list[Utterance] = []
    offset = 0
    for heard in heards:
        spoken, mended = _mended(heard, language, doubtful_margin)
        if _only_fillers(tuple(s.token.form for s in spoken), language):
            continue
        bounds = _bounds(spoken, language)
        made.append(Utterance(len(made), offset, spoken, bounds, mended, heard))
        offset += len(spoken)
    return made


def _only_fillers(forms: tuple[str, ...], language: Language) -> bool:
    """Whether no word is left once the fillers are taken away: what comes before goes on."""
    at = 0
    while at < len(forms):
        filler = language.lexicon.filler_at(forms, at)
        if not filler:
            return False
        at += len(filler)
    return True


def _mended(heard: Heard, language: Language, margin: float) -> tuple[tuple[Spoken, ...], bool]:
    """The tokens of an utterance with slips mended, and whether there were any."""
    words = heard.text.split()
    tokens = language.tokens(words)
    mended = repair(tokens, language.lexicon)
    doubts, denials = _doubts(heard, margin, tuple(language.lexicon.grammar.endings))
    spoken = tuple(
        _timed(
            token,
            words,
            heard,
            doubtful=not doubts.isdisjoint(range(token.first, token.end)),
            maybe_denied=not denials.isdisjoint(range(token.first, token.end)),
        )
        for token in mended.tokens
    )
    return spoken, len(mended.tokens) < len(tokens)


def _doubts(heard: Heard, margin: float, denying: tuple[str, ...]) -> tuple[set[int], set[int]]:
    """Printed words whose flip test the sound did not clearly decide: all, and those of a "not".

    denying: how a word ends that denies.
    """
    words: set[int] = set()
    denials: set[int] = set()
    for check in heard.checks or ():
        if check.margin < margin:
            between = check.count == 0
            put_in = check.contrast.lower().endswith(denying)
            taken_out = not check.contrast and check.heard.lower().endswith(denying)
            places = range(max(0, check.first - between), check.first + check.count)
            words.update(places)
            if between or put_in or taken_out:
                denials.update(places)
    return words, denials


def _timed(
    token: Token, words: Sequence[str], heard: Heard, *, doubtful: bool, maybe_denied: bool
) -> Spoken:
    """The token with its time: from the recogniser where it gave word times, else by share."""
    text = " ".join(words[token.first : token.end])
    if len(heard.words) == len(words):
        start, end = heard.words[token.first].start, heard.words[token.end - 1].end
    else:
        pace = max(0.0, heard.end - heard.start) / len(words)
        start, end = heard.start + pace * token.first, heard.start + pace * token.end
    return Spoken(token, text, start, end, doubtful, maybe_denied)


def _bounds(spoken: Sequence[Spoken], language: Language) -> tuple[int, ...]:
    """Token positions at which a clause starts, with 0 and the length."""
    forms = tuple(s.token.form for s in spoken)
    bounds = {0, len(spoken)}
    for at in range(1, len(spoken)):
        ended = spoken[at - 1].text[-1:] in ".!?;" and spoken[at].text is not spoken[at - 1].text
        paused = spoken[at].start - spoken[at - 1].end >= PAUSE
        joint = any(forms[at : at + len(form)] == form for form in language.lexicon.joints)
        if ended or paused or joint:
            bounds.add(at)
    return tuple(sorted(bounds))


def joined(one: Utterance, two: Utterance, language: Language, margin: float) -> Span | None:
    """Two utterances in a row as one span, slips mended across the pause; None when too wide."""
    if len(one.spoken) + len(two.spoken) > WIDEST:
        return None
    both = _both(one.heard, two.heard)
    spoken, mended = _mended(both, language, margin)
    last = two.offset + len(two.spoken)
    raw = both.text if mended else ""
    return Span(one.index, one.offset, last, spoken, raw) if spoken else None


def _both(one: Heard, two: Heard) -> Heard:
    """Two utterances as if said in one breath."""
    times = one.words + two.words if one.words and two.words else ()
    shift = len(one.text.split())
    later = tuple(replace(check, first=check.first + shift) for check in two.checks or ())
    return Heard(
        one.start,
        two.end,
        f"{one.text} {two.text}",
        times,
        checks=(one.checks or ()) + later,
    )


def _printed(spoken: Sequence[Spoken]) -> Iterator[str]:
    """Each printed word once, though it may hold two tokens ("don't")."""
    seen: tuple[int, str] | None = None
    for item in spoken:
        key = (item.token.first, item.text)
        if key != seen:
            yield item.text
        seen = key
