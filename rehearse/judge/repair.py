"""Self-corrections: "armed, sorry, disarmed" counts as what was said last."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rehearse.language.lexicon import Form, Lexicon
from rehearse.language.token import Token

REACH = 8  # tokens before the correcting word in which the mended word is looked for
FIGURES_AHEAD = 5  # the same for a number or a door
LOOK_AHEAD = 3  # tokens after the correcting word that may name what is mended


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
    tokens = list(tokens)
    at = 0
    while at < len(tokens):
        restart = phrase_at(tokens, at, lexicon.restarts, protected)
        marker = restart or correction_at(tokens, at, lexicon, protected)
        if marker and kept and at + len(marker) < len(tokens):
            after = _freed(tokens[at + len(marker) :], marker, lexicon)
            fluent = [token for token in after if token.form not in lexicon.hesitations]
            start = _said_anew(kept, fluent, lexicon) if restart else None
            if start is None and fluent:
                start = _mended_from(kept, fluent, lexicon)
            if start is not None:
                slips.extend(kept[start:])
                del kept[start:]
            if start is not None or restart or lexicon.apologies.intersection(marker):
                tokens[at + len(marker) :] = after
                at += len(marker)
                continue
        kept.append(tokens[at])
        at += 1
    return Repaired(tuple(kept), tuple(slips))


def _freed(after: Sequence[Token], marker: Form, lexicon: Lexicon) -> list[Token]:
    """The tokens after a correcting "no", which denies none of them."""
    freed = list(after)
    if lexicon.negations.intersection(marker):
        for at, token in enumerate(freed):
            if not token.negated or token.form in lexicon.negations:
                break
            freed[at] = replace(token, negated=False)
    return freed


def correction_at(
    tokens: Sequence[Token], at: int, lexicon: Lexicon, protected: frozenset[str] = frozenset()
) -> Form | None:
    """The correcting phrase that starts at this token, if one does.

    A bare "no" corrects only where what follows visibly mends what came before.
    """
    grammar = lexicon.grammar
    marker = phrase_at(tokens, at, lexicon.correcting, protected)
    after = tokens[at + len(marker)].form if marker and at + len(marker) < len(tokens) else ""
    if marker and marker[-1] in grammar.waits and after in grammar.waited_for:
        return marker[:1] if marker[0] in grammar.noes else None  # "no, wait for C1"
    if marker and marker[-1] in grammar.noes and after in grammar.bound_to_no:
        return None  # "or i can stay no longer"
    return marker


def phrase_at(
    tokens: Sequence[Token], at: int, phrases: Iterable[Form], protected: frozenset[str]
) -> Form | None:
    """The first of the phrases that stands at this token, if one does."""
    for form in phrases:
        if not protected.intersection(form) and all(
            at + i < len(tokens) and tokens[at + i].form == word for i, word in enumerate(form)
        ):
            return form
    return None


def _said_anew(kept: Sequence[Token], after: Sequence[Token], lexicon: Lexicon) -> int | None:
    """Where in `kept` the sentence begins that is said over again ("let me say it again").

    The last mention of its first word of weight, with the small words before it.
    """
    head = next((t for t in after if t.form not in lexicon.stop_words), None)
    if head is None:
        return None
    found = [i for i, t in enumerate(kept) if t.form == head.form or same_set(t, head, lexicon)]
    return found[-1] - _led_by(kept, found[-1], after, head) if found else None


def _mended_from(kept: Sequence[Token], after: Sequence[Token], lexicon: Lexicon) -> int | None:
    """Index in `kept` from which the words after the marker take over; None when none fits.

    The mending repeats a word of the slip ("door three, no, door two") or puts another value of
    the same set in its place ("armed, no, disarmed").
    """
    heads = [
        token
        for token in _ahead(after, lexicon)
        if token.kind != "word" or token.form in lexicon.contrast_words
    ] or [
        token
        for token in after[:LOOK_AHEAD]
        if token.form not in lexicon.stop_words | lexicon.negations
    ]
    window = range(len(kept) - 1, max(-1, len(kept) - 1 - REACH), -1)
    for head in heads:
        for index in window:
            unfinished = index == window[0] and kept[index].kind == "number"
            if (
                kept[index].form == head.form
                or same_set(kept[index], head, lexicon)
                or (unfinished and head.kind == "door")  # "door three, no, two left"
            ):
                start = _run_start(kept, index, head, lexicon)
                return start - _led_by(kept, start, after, head)
    return next((index for index in window if kept[index].form == after[0].form), None)


def _ahead(after: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The tokens after the correcting word in which a deciding word may name what is mended.

    The next few; a number or door a little further on; and after small words alone the first word
    of weight ("I mean it has to be lit"). A further "no" ends them.
    """
    denial = next((i for i, t in enumerate(after) if i and t.form in lexicon.negations), len(after))
    after = after[:denial]
    near = [*after[:LOOK_AHEAD], *(t for t in after[LOOK_AHEAD:FIGURES_AHEAD] if t.kind != "word")]
    if all(token.form in lexicon.stop_words for token in near):
        near += [t for t in after[LOOK_AHEAD:] if t.form not in lexicon.stop_words][:1]
    return near


def _run_start(kept: Sequence[Token], index: int, head: Token, lexicon: Lexicon) -> int:
    """Where a run of slips begins that ends at `index`.

    The rivals right before it belong to it ("armed disarmed, I mean disarmed"), and the "not" of
    a word that is said again without one ("do not pull, no wait, do pull").
    """
    end = index
    while (
        index > 0
        and kept[index].kind == "word"
        and (
            same_set(kept[index - 1], head, lexicon)
            or (kept[index - 1].form == head.form and head.form in lexicon.contrast_words)
        )
    ):
        index -= 1
    again = kept[end].form == head.form and not head.negated
    return index - (again and index > 0 and kept[index - 1].form in lexicon.negations)


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
