"""What was shouted: a stretch of speech split into the separate sayings that it holds. Pure.

Somebody who shouts says a command again and again in one breath, and breaks off between its
phrases. Utterances that follow each other closely are therefore read as one stretch, in which the
best match of any wording is found first, then those in what is left before and behind it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rehearse.events import Heard, Word
from rehearse.judge.commands import CommandMatch, match_command
from rehearse.judge.verdict import Verdict
from rehearse.language import Language
from rehearse.language.token import Token

JOINED = 1.2  # seconds of silence within which a command may go on
# Nats by which the sound must prefer a word to its opposite. Less than a step needs: a shouted
# command holds no word beside it that could be heard as either. Four voices at 10 dB of noise:
# right commands 0.2 to 8 (7 of 8 over 2), their opposites -6 or less.
DOUBTFUL = 2.0


@dataclass(frozen=True)
class Said:
    """One saying of one wording, or one stretch of other talk.

    start, end: seconds in the take. text: the printed words.
    wording: what it was meant as; "" for other talk.
    verdict: said, unclear, wrong or incomplete; not said for other talk.
    swapped: (expected, heard) pairs; missing, added, doubtful: words.
    first_end: end of its first word, seconds; None when the words have no times of their own.
    """

    start: float
    end: float
    text: str
    wording: str = ""
    verdict: Verdict = Verdict.NOT_SAID
    swapped: tuple[tuple[str, str], ...] = ()
    missing: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    doubtful: tuple[str, ...] = ()
    first_end: float | None = None


def sayings(
    heards: Sequence[Heard], wordings: Sequence[str], language: Language
) -> tuple[Said, ...]:
    """All that was said, in order, each saying judged word by word.

    wordings: everything that may be shouted, rightly or not. What is heard once counts once: of
        two wordings the one with more of its words there has them, of equal ones the first.
    """
    found: list[Said] = []
    for run in _runs(heards):
        stretch = _Stretch(run, language)
        found.extend(stretch.split(wordings))
    return tuple(found)


def _runs(heards: Sequence[Heard]) -> Iterator[list[Heard]]:
    """Utterances in a row with no more silence between them than a command may have."""
    run: list[Heard] = []
    for heard in sorted(heards, key=lambda heard: heard.start):
        if not heard.text.split():
            continue
        if run and heard.start - run[-1].end > JOINED:
            yield run
            run = []
        run.append(heard)
    if run:
        yield run


class _Stretch:
    """A few utterances in a row, word by word."""

    def __init__(self, heards: Sequence[Heard], language: Language) -> None:
        self._language = language.literal
        self._words = [word for heard in heards for word in words_of(heard)]
        self._doubtful = _doubtful(heards)
        self._tokens = self._language.tokens([word.text for word in self._words])

    def split(self, wordings: Sequence[str]) -> Iterator[Said]:
        """The sayings, in order."""
        yield from self._between(0, len(self._words), wordings)

    def _between(self, first: int, end: int, wordings: Sequence[str]) -> Iterator[Said]:
        """The sayings among the words [first, end)."""
        if first >= end:
            return
        here = [token for token in self._tokens if token.first >= first and token.end <= end]
        wording, match = self._best(here, wordings)
        if match is None:
            yield self._said(first, end, None, "")
            return
        yield from self._between(first, match.first, wordings)
        yield self._said(match.first, match.last + 1, match, wording)
        yield from self._between(match.last + 1, end, wordings)

    def _best(
        self, tokens: Sequence[Token], wordings: Sequence[str]
    ) -> tuple[str, CommandMatch | None]:
        best: tuple[str, CommandMatch | None] = ("", None)
        most = (0, 0.0)
        if not self._language.claims([self._words[t.first].text for t in tokens]):
            return best
        for wording in wordings:
            match = match_command(wording, tokens, self._language)
            if match.verdict is Verdict.NOT_SAID:
                continue
            words = match.share * len(self._language.tokens(wording.split()))
            right = match.verdict is Verdict.SAID
            worth = (_RANK[match.verdict], words if right else match.share)
            if worth > most:
                best, most = (wording, match), worth
        return best

    def _said(self, first: int, end: int, match: CommandMatch | None, wording: str) -> Said:
        words = self._words[first:end]
        text = " ".join(word.text for word in words)
        start, until = words[0].start, max(words[0].start, words[-1].end)
        if match is None:
            return Said(start, until, text, first_end=words[0].end)
        doubtful = tuple(self._words[at].text for at in range(first, end) if at in self._doubtful)
        doubted = match.verdict is Verdict.SAID and doubtful
        return Said(
            start,
            until,
            text,
            wording,
            Verdict.UNCLEAR if doubted else match.verdict,
            match.swapped,
            match.missing,
            match.added,
            doubtful,
            words[0].end,
        )


_RANK = {Verdict.INCOMPLETE: 1, Verdict.WRONG: 1, Verdict.UNCLEAR: 2, Verdict.SAID: 3}


def words_of(heard: Heard) -> list[Word]:
    """The printed words with their times: the recogniser's where it gave them, else by share."""
    texts = heard.text.split()
    if len(heard.words) == len(texts):
        return [
            Word(text, w.start, w.end, w.confidence)
            for text, w in zip(texts, heard.words, strict=True)
        ]
    pace = max(0.0, heard.end - heard.start) / max(1, len(texts))
    return [
        Word(text, heard.start + pace * at, heard.start + pace * (at + 1))
        for at, text in enumerate(texts)
    ]


def _doubtful(heards: Sequence[Heard]) -> frozenset[int]:
    """The words of the stretch that a flip test left open."""
    found: set[int] = set()
    offset = 0
    for heard in heards:
        for check in heard.checks or ():
            if check.margin < DOUBTFUL:
                put_in = check.count == 0  # a "not" may stand here
                first = max(0, check.first - put_in)
                found.update(range(offset + first, offset + check.first + max(1, check.count)))
        offset += len(heard.text.split())
    return frozenset(found)
