"""Commands, judged word by word: what was swapped, left out or put in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from rehearse.judge.leads import denying_lead
from rehearse.judge.polarity import opens_asking, taken_back
from rehearse.judge.repair import correction_at, repair, same_set
from rehearse.judge.verdict import Verdict
from rehearse.language import Language
from rehearse.language.lexicon import Lexicon
from rehearse.language.token import Token

_PHRASE_END = re.compile(r"[!?.,;:]+")
RECOGNISABLE = 0.5  # least share of a command's words for a broken saying to count as an attempt
SOUNDS_ALIKE = 0.75  # likeness of spelling above which a swapped word may be a recogniser's slip


@dataclass(frozen=True)
class CommandMatch:
    """How an utterance fits a command.

    verdict: said, incomplete, wrong, unclear or not said.
    share: words of the command that were heard, 0..1.
    swapped: (expected, heard) pairs; missing, added: words.
    first, last: tokens of the utterance that were used (last inclusive); -1 when none.
    corrected: the right words came after a slip in the same utterance.
    """

    verdict: Verdict
    share: float
    swapped: tuple[tuple[str, str], ...] = ()
    missing: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    first: int = -1
    last: int = -1
    corrected: bool = False


NO_MATCH = CommandMatch(Verdict.NOT_SAID, 0.0)


def match_command(command: str, tokens: Sequence[Token], language: Language) -> CommandMatch:
    """The command against one stretch of speech, the speaker's own corrections applied."""
    lexicon = language.lexicon
    wanted = language.tokens(command.split())
    protected = frozenset(token.form for token in wanted)
    mended = repair(tokens, lexicon, protected)
    heard = [
        token
        for token in mended.tokens
        if token.form in protected or (token.form,) not in lexicon.fillers
    ]
    if not wanted or not heard or opens_asking(heard, language):
        return NO_MATCH
    match = _Match(wanted, heard, _phrases(command, language), language)
    return match.outcome(bool(mended.slips))


def _phrases(command: str, language: Language) -> list[int]:
    """For each token of the command the number of its phrase (phrases end at punctuation)."""
    numbers: list[int] = []
    for number, part in enumerate(filter(str.strip, _PHRASE_END.split(command))):
        numbers.extend([number] * len(language.tokens(part.split())))
    return numbers


# One step of an alignment: (kind, index into wanted or -1, index into heard or -1)
_Step = tuple[str, int, int]
_MATCHES = {"same", "split", "joined"}
SLIP_REACH = 4  # words before a correcting "no" that may be a slip


class _Match:
    """The cheapest alignment of a whole command with a stretch of what was heard.

    Words before and after the stretch are free (lead-ins), as are small words, a phrase said
    again, and a slip that the speaker mended. Splits and joins ("out side") match.
    """

    def __init__(
        self,
        wanted: Sequence[Token],
        heard: Sequence[Token],
        phrases: Sequence[int],
        language: Language,
    ) -> None:
        self.wanted, self.heard, self.phrases = wanted, heard, phrases
        self.lexicon = language.lexicon
        self.language = language
        self.slips = self._slips()
        self.steps = self._align()

    def _slips(self) -> frozenset[int]:
        protected = frozenset(token.form for token in self.wanted)
        found: set[int] = set()
        for at in range(1, len(self.heard)):
            marker = correction_at(self.heard, at, self.lexicon, protected)
            if marker:
                found.update(range(max(0, at - SLIP_REACH), at + len(marker)))
        return frozenset(found)

    def _align(self) -> list[_Step]:
        rows, columns = len(self.wanted) + 1, len(self.heard) + 1
        cost = [[0.0] * columns for _ in range(rows)]
        back: list[list[_Step]] = [[("", -1, -1)] * columns for _ in range(rows)]
        for i in range(1, rows):
            for j in range(columns):
                cost[i][j], back[i][j] = min(self._options(cost, i, j), key=lambda o: o[0])
        end = min(range(columns), key=lambda j: (cost[rows - 1][j], j))
        return _trace(back, rows - 1, end)

    def _options(
        self, cost: Sequence[Sequence[float]], i: int, j: int
    ) -> Iterator[tuple[float, _Step]]:
        yield cost[i - 1][j] + self._drop_cost(i - 1), ("missing", i - 1, -1)
        if not j:
            return
        want, got = self.wanted[i - 1].form, self.heard[j - 1].form
        swap = self._swap_cost(self.wanted[i - 1], self.heard[j - 1])
        kind = "swapped" if swap else "same"
        yield cost[i - 1][j - 1] + swap, (kind, i - 1, j - 1)
        yield cost[i][j - 1] + self._add_cost(i, j), ("added", -1, j - 1)
        if j > 1 and self.heard[j - 2].form + got == want:
            yield cost[i - 1][j - 2], ("split", i - 1, j - 1)
        if i > 1 and self.wanted[i - 2].form + want == got:
            yield cost[i - 2][j - 1], ("joined", i - 1, j - 1)

    def _drop_cost(self, i: int) -> float:
        return 0.1 if self.wanted[i].form in self.lexicon.command_small else 1.0

    def _swap_cost(self, wanted: Token, heard: Token) -> float:
        if self.lexicon.sound_alike(wanted.form, heard.form):
            return 0.0
        if same_set(wanted, heard, self.lexicon):
            return 0.9
        repeated = any(self.lexicon.sound_alike(w.form, heard.form) for w in self.wanted)
        return 1.3 if repeated or heard.form in self.lexicon.lead_ins else 0.9

    def _add_cost(self, i: int, j: int) -> float:
        form = self.heard[j - 1].form
        if form in self.lexicon.command_small or j - 1 in self.slips:
            return 0.05
        if i < len(self.wanted) and self.phrases[i - 1] == self.phrases[i]:
            return 1.0
        repeat = any(self.lexicon.sound_alike(w.form, form) for w in self.wanted[:i])
        return 0.05 if repeat or form in self.lexicon.lead_ins else 0.6

    def outcome(self, slipped: bool) -> CommandMatch:
        """What the alignment amounts to."""
        pairs = [(i, j) for kind, i, j in self.steps if kind == "swapped"]
        side_only = {i for i, j in pairs if _lost_side(self.wanted[i], self.heard[j])}
        swapped = [
            (self.wanted[i].form, self.heard[j].form) for i, j in pairs if i not in side_only
        ]
        missing = [
            self.wanted[i].form
            for kind, i, _ in self.steps
            if (kind == "missing" and self._drop_cost(i) == 1.0) or i in side_only
        ]
        added = [*self._added(), *self._denial()]
        matched = sum(1 + (kind == "joined") for kind, _, _ in self.steps if kind in _MATCHES)
        share = matched / len(self.wanted)
        verdict = self._decide(swapped, missing, added, share)
        if verdict is Verdict.NOT_SAID:
            return NO_MATCH
        used = [j for kind, _, j in self.steps if kind in _MATCHES or kind == "swapped"]
        return CommandMatch(
            verdict,
            share,
            tuple(swapped),
            tuple(missing),
            tuple(added),
            self.heard[min(used)].first,
            self.heard[max(used)].end - 1,
            (slipped or bool(self.slips)) and verdict is Verdict.SAID,
        )

    def _added(self) -> list[str]:
        free = self.lexicon.command_small | self.lexicon.lead_ins
        return [
            self.heard[j].form
            for kind, _, j in self.steps
            if kind == "added"
            and j not in self.slips
            and self.heard[j].form not in free
            and not any(self.lexicon.sound_alike(self.heard[j].form, w.form) for w in self.wanted)
        ]

    def _denial(self) -> list[str]:
        """The words before or after the command that deny it or give it to somebody else."""
        used = [j for kind, _, j in self.steps if kind in _MATCHES]
        first, last = min(used, default=0), max(used, default=len(self.heard))
        lead, tail = self.heard[:first], self.heard[last + 1 :]
        if self.language.denies_behind:  # and says who speaks behind, too
            lead = [*lead, *tail]
        before = denying_lead(lead, {t.form for t in self.wanted}, self.language)
        after = [t.form for t in tail] if taken_back(tail, self.language) else []
        if self.language.denies_behind and not before and not after:
            after = [t.form for t in tail if t.form in self.lexicon.negations]
        return [*before, *after]

    def _decide(
        self,
        swapped: Sequence[tuple[str, str]],
        missing: Sequence[str],
        added: Sequence[str],
        share: float,
    ) -> Verdict:
        if not swapped and not missing and not added:
            return Verdict.SAID
        if not swapped and not added and not self._negation_lost():
            return Verdict.INCOMPLETE if self._an_attempt(share) else Verdict.NOT_SAID
        if share < RECOGNISABLE:
            return Verdict.NOT_SAID
        slips = all(_slip(want, got, self.lexicon) for want, got in swapped)
        return Verdict.UNCLEAR if slips and not added and not missing else Verdict.WRONG

    def _negation_lost(self) -> bool:
        """Whether a "not" is missing from a phrase of which other words were said."""
        lost = {
            self.phrases[i]
            for kind, i, _ in self.steps
            if kind == "missing" and self.wanted[i].form in self.lexicon.negations
        }
        said = {self.phrases[i] for kind, i, _ in self.steps if kind in _MATCHES}
        return bool(lost & said)

    def _an_attempt(self, share: float) -> bool:
        """Whether a part of the command was meant as the command, not used in other talk."""
        used = {j for kind, _, j in self.steps if kind in _MATCHES}
        other = [
            token.form
            for j, token in enumerate(self.heard)
            if j not in used
            and token.form not in self.lexicon.lead_ins | self.lexicon.stop_words
            and not any(self.lexicon.sound_alike(token.form, w.form) for w in self.wanted)
        ]
        parts = {self.phrases[i] for kind, i, _ in self.steps if kind == "missing"}
        whole = bool(set(self.phrases) - parts)
        return share >= RECOGNISABLE or (len(other) <= len(used) and (whole or len(used) > 1))


def _trace(back: Sequence[Sequence[_Step]], i: int, j: int) -> list[_Step]:
    steps: list[_Step] = []
    while i > 0:
        step = back[i][j]
        steps.append(step)
        i -= {"added": 0, "joined": 2}.get(step[0], 1)
        j -= {"missing": 0, "split": 2}.get(step[0], 1)
    return steps[::-1]


def _lost_side(wanted: Token, heard: Token) -> bool:
    """Whether a door was named by its number alone ("door four" for 4R)."""
    return wanted.kind == "door" and heard.kind == "number" and wanted.form[:-1] == heard.form


def _slip(wanted: str, heard: str, lexicon: Lexicon) -> bool:
    """Whether a swapped word may be the recogniser's doing: much alike, and no known opposite."""
    reversing = lexicon.grammar.reversing
    opposites = any(
        (wanted,) in contrast.phrases and (heard,) in contrast.phrases
        for contrast in lexicon.contrasts
    ) or any(wanted == prefix + heard or heard == prefix + wanted for prefix in reversing)
    return not opposites and Levenshtein.normalized_similarity(wanted, heard) >= SOUNDS_ALIKE
