"""Self-corrections: "armed, sorry, disarmed" counts as what was said last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rehearse.language.lexicon import Form, Lexicon
from rehearse.language.token import Token

REACH = 8  # tokens before the correcting word in which the mended word is looked for
LOOK_AHEAD = 3  # tokens after the correcting word that may name what is mended
BARE = ("no",)  # corrects only where what follows visibly mends what came before


@dataclass(frozen=True)
class Repaired:
    """The tokens with every slip replaced by its correction, and the tokens that were slips."""

    tokens: tuple[Token, ...]
    slips: tuple[Token, ...]


def repair(
    tokens: Sequence[Token], lexicon: Lexicon, protected: frozenset[str] = frozenset()
) -> Repaired:
    """The tokens as the speaker meant them: the last version of whatever was mended.

    `protected` words never count as correcting ones: "wait" in a command is a word of it.
    """
    kept: list[Token] = []
    slips: list[Token] = []
    at = 0
    while at < len(tokens):
        marker = correction_at(tokens, at, lexicon, protected)
        if marker and kept and at + len(marker) < len(tokens):
            after = tokens[at + len(marker) :]
            start = _mended_from(kept, after, lexicon)
            if start is not None:
                slips.extend(kept[start:])
                del kept[start:]
                at += len(marker)
                continue
            if lexicon.apologies.intersection(marker):
                at += len(marker)
                continue
        kept.append(tokens[at])
        at += 1
    return Repaired(tuple(kept), tuple(slips))


def correction_at(
    tokens: Sequence[Token], at: int, lexicon: Lexicon, protected: frozenset[str] = frozenset()
) -> Form | None:
    """The correcting phrase that starts at this token, if one does."""
    for form in (*lexicon.corrections, BARE):
        if not protected.intersection(form) and all(
            at + i < len(tokens) and tokens[at + i].form == word for i, word in enumerate(form)
        ):
            return form
    return None


def _mended_from(kept: Sequence[Token], after: Sequence[Token], lexicon: Lexicon) -> int | None:
    """Index in `kept` from which the words after the marker take over; None when none fits.

    The mending repeats a word of the slip ("door three, no, door two") or puts another value of
    the same set in its place ("armed, no, disarmed").
    """
    heads = [
        token
        for token in after[:LOOK_AHEAD]
        if token.kind != "word" or token.form in lexicon.contrast_words
    ] or [token for token in after[:LOOK_AHEAD] if token.form not in lexicon.stop_words]
    window = range(len(kept) - 1, max(-1, len(kept) - 1 - REACH), -1)
    for head in heads:
        for index in window:
            if kept[index].form == head.form or same_set(kept[index], head, lexicon):
                return index - _led_by(kept, index, after, head)
    return next((index for index in window if kept[index].form == after[0].form), None)


def _led_by(kept: Sequence[Token], index: int, after: Sequence[Token], head: Token) -> int:
    """How many small words before the mended word the mending repeats ("to armed, no, to ...")."""
    count = 0
    while (
        count < after.index(head)
        and index - count > 0
        and kept[index - count - 1].form == after[after.index(head) - count - 1].form
    ):
        count += 1
    return count


def same_set(one: Token, other: Token, lexicon: Lexicon) -> bool:
    """Whether two different tokens are values of one contrast set (two doors, two numbers ...)."""
    if one.form == other.form:
        return False
    if one.kind == other.kind and one.kind != "word":
        return True
    return any(
        contrast.phrases.get((one.form,), value) != value
        for contrast in lexicon.contrasts
        if (value := contrast.phrases.get((other.form,))) is not None
    )
