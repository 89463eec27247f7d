"""English number words to digits and back."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.language.token import Token

UNITS = {
    word: value
    for value, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
        "fifteen sixteen seventeen eighteen nineteen".split()
    )
}
TENS = {
    word: 10 * value
    for value, word in enumerate(
        "twenty thirty forty fifty sixty seventy eighty ninety".split(), start=2
    )
}
SCALES = {"hundred": 100, "thousand": 1000}
ALIASES = {"both": 2, "pair": 2, "couple": 2, "twice": 2, "thrice": 3, "dozen": 12}
NO_COUNT = {"any", "every", "some", "no", "each", "which"}  # "any one"
AFTER_DOOR = {"to": 2, "too": 2, "for": 4, "won": 1, "free": 3, "tree": 3}  # misprints of numbers


def _is_number(form: str) -> bool:
    return form in UNITS or form in TENS or form in SCALES or form.isdigit()


def spelt(value: int) -> str:
    """A number as a person says it, up to 9999; larger ones stay in digits."""
    if value >= 10_000:
        return str(value)
    if value >= 1000:
        rest = f" {spelt(value % 1000)}" if value % 1000 else ""
        return f"{spelt(value // 1000)} thousand{rest}"
    if value >= 100:
        rest = f" {spelt(value % 100)}" if value % 100 else ""
        return f"{spelt(value // 100)} hundred{rest}"
    for word, tens in TENS.items():
        if tens <= value < tens + 10:
            return word if value == tens else f"{word} {spelt(value - tens)}"
    return next(word for word, unit in UNITS.items() if unit == value)


def with_numbers(tokens: Sequence[Token]) -> list[Token]:
    """The tokens with each run of number words joined into one number token."""
    joined: list[Token] = []
    at = 0
    while at < len(tokens):
        length, value = _run(tokens, at)
        if length:
            last = tokens[at + length - 1]
            first = tokens[at]
            joined.append(Token(str(value), "number", first.first, last.end - first.first))
            at += length
        else:
            joined.append(tokens[at])
            at += 1
    return joined


def _run(tokens: Sequence[Token], start: int) -> tuple[int, int]:
    """Length and value of the number phrase at `start`; length 0 when there is none."""
    form = tokens[start].form
    before = tokens[start - 1].form if start else ""
    if form in ALIASES:
        return 1, ALIASES[form]
    if form == "one" and before in NO_COUNT:
        return 0, 0
    if before in {"door", "doors"} and form in AFTER_DOOR and _side_follows(tokens, start):
        return 1, AFTER_DOOR[form]
    if not _is_number(form):
        return 0, 0
    total, at = _leading(tokens, start)
    while at < len(tokens) and tokens[at].form in SCALES:
        total, at = total * SCALES[tokens[at].form], at + 1
        skip = at + 1 if at < len(tokens) and tokens[at].form == "and" else at
        if skip < len(tokens) and (tokens[skip].form in UNITS or tokens[skip].form in TENS):
            length, rest = _run(tokens, skip)
            total, at = total + rest, skip + length
    return at - start, total


def _leading(tokens: Sequence[Token], start: int) -> tuple[int, int]:
    """The value up to the first "hundred" or "thousand", and where that part ends."""
    form = tokens[start].form
    following = tokens[start + 1].form if start + 1 < len(tokens) else ""
    at = start + 1
    if form.isdigit():
        total = int(form[:12])
    elif form in SCALES:  # "a hundred", "hundred and twenty", "a thousand"
        total, at = 1, start
    elif 0 < UNITS.get(form, 0) < 10 and following in TENS:  # "one twenty" says 120
        tens, rest = _run(tokens, at)
        total, at = 100 * UNITS[form] + rest, at + tens
    elif form in UNITS:
        total = UNITS[form]
    else:
        total = TENS[form]
        if 0 < UNITS.get(following, 0) < 10:
            total, at = total + UNITS[following], at + 1
    return total, at


def _side_follows(tokens: Sequence[Token], start: int) -> bool:
    return start + 1 < len(tokens) and tokens[start + 1].form in {"left", "right", "rite", "write"}
