"""Texts made fit to print: one line, no hidden turns, and letters without a glyph as numbers.

A letter that no font can draw is never a box on paper: it stands as its Unicode number in square
brackets, so that nothing is lost, and the report says so in one line.
"""

from __future__ import annotations

import re
import unicodedata

_TURNS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067")
_ISOLATE, _END = "\u2068", "\u2069"  # these keep a text's reading direction to itself
_NEVER_PRINTED = frozenset({"Cs", "Cn", "Co"})
_BREAK = "\u200b"  # shows nothing; a line may end here
_JOINER = "\u200d"
_EMOJI_TONES = range(0x1F3FB, 0x1F400)
_LONGEST_WORD = 24  # a longer one, in letters, may be broken
_PART = 6  # into parts of this many
_NAMED = 12  # letters listed before "and more"


def clean(text: str) -> str:
    """The text on one line without control letters or marks that turn the reading direction."""
    kept = (c for c in text if c.isspace() or not _steers(c))
    return " ".join("".join(kept).split())


def _steers(letter: str) -> bool:
    return letter in _TURNS or unicodedata.category(letter) == "Cc"


def isolated(text: str) -> str:
    """The text, kept from turning the reading direction of what stands beside it."""
    return f"{_ISOLATE}{bare(text)}{_END}"


def bare(text: str) -> str:
    """The text without the marks that `isolated` puts round it."""
    return text.replace(_ISOLATE, "").replace(_END, "")


def clusters(text: str) -> list[str]:
    """The text cut into letters with the marks that belong to them."""
    found: list[str] = []
    for letter in text:
        follows = (
            unicodedata.category(letter).startswith("M")
            or letter == _JOINER
            or ord(letter) in _EMOJI_TONES
            or (found and found[-1].endswith(_JOINER) and not letter.isascii())
        )
        if follows and found and not found[-1].isspace():
            found[-1] += letter
        else:
            found.append(letter)
    return found


def never_printed(cluster: str) -> bool:
    """It holds a letter that is private, unassigned or half a letter: no font may draw it."""
    return any(unicodedata.category(letter) in _NEVER_PRINTED for letter in cluster)


def is_blank(cluster: str) -> bool:
    """It shows nothing by its nature: spaces and marks that only steer others."""
    return all(unicodedata.category(letter) in {"Zs", "Cf"} for letter in cluster)


def numbered(text: str, missing: frozenset[str]) -> str:
    """The text with each missing cluster as Unicode numbers: "[U+AE40]"."""
    if not missing:
        return text
    return "".join(f"{_number(c)}{_BREAK}" if c in missing else c for c in clusters(text))


def _number(cluster: str) -> str:
    return "[" + " ".join(f"U+{ord(letter):04X}" for letter in cluster) + "]"


def legible(text: str) -> str:
    """The text cleaned, with what no font may draw as Unicode numbers: fit for any screen."""
    tidy = clean(text)
    hidden = frozenset(c for c in clusters(tidy) if never_printed(c))
    return numbered(tidy, hidden).replace(_BREAK, "")


def breakable(text: str) -> str:
    """The text with places to break inside words that no line would hold."""
    return "".join(_with_breaks(word) for word in re.split(f"([ {_BREAK}])", text))


def _with_breaks(word: str) -> str:
    if len(word) <= _LONGEST_WORD:
        return word
    parts = clusters(word)
    return _BREAK.join("".join(parts[at : at + _PART]) for at in range(0, len(parts), _PART))


def clip(text: str, most: int) -> str:
    """The text, shortened to `most` clusters with an ellipsis when it is longer."""
    parts = clusters(text)
    return text if len(parts) <= most else "".join(parts[: most - 1]).rstrip() + "…"


def told(missing: frozenset[str]) -> str:
    """The one line about letters that could not be printed; "" when all could."""
    if not missing:
        return ""
    listed = sorted(missing)
    shown = " ".join(_number(cluster)[1:-1] for cluster in listed[:_NAMED])
    more = f" and {len(listed) - _NAMED} more" if len(listed) > _NAMED else ""
    scripts = sorted({_script(cluster[0]) for cluster in listed})
    return (
        f"No font at hand can print {shown}{more} ({', '.join(scripts)}): shown as Unicode "
        "numbers in square brackets; install a font that has these letters."
    )


def _script(letter: str) -> str:
    if never_printed(letter):
        return "no letter"
    if unicodedata.category(letter).startswith("S"):
        return "symbols"
    name = unicodedata.name(letter, "unnamed").split()[0]
    return "Chinese characters" if name == "CJK" else name.capitalize()
