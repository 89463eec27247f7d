"""Whether a text names a person: what stays on record for good must not, for it is never erased."""

from __future__ import annotations

import re

from rehearse.store.mishaps import NotAcceptedError
from rehearse.store.values import Person

_SHORTEST_WORD = 3  # letters of a part of a name; shorter ones stand for too much else
_SHORTEST_NUMBER = 4  # digits of a staff number that is digits alone, for "at 12 s" is none


def must_not_name(text: str, person: Person, what: str) -> None:
    """Refuse a text that will outlast the person's identity.

    Raises:
        NotAcceptedError: it holds the staff number, the name or a part of it.
    """
    found = named_in(text, person)
    if found:
        raise NotAcceptedError(
            f"{what}: names the person ({found}) and cannot be erased with them; write it without, "
            "or add a remark, which can"
        )


def named_in(text: str, person: Person) -> str:
    """What in the text names the person; "" when nothing does.

    A part of a name is looked for as a whole word with its capital, so that "mark" is none of Mark;
    in a script without capitals, where words may have no blanks between them, anywhere.
    """
    if person.erased:
        return ""
    number = person.staff_number
    if not number.isdigit() or len(number) >= _SHORTEST_NUMBER:
        found = _word(number, text, re.IGNORECASE)
        if found:
            return found
    found = _word(person.name.strip(), text, re.IGNORECASE)
    return found or next(filter(None, (_part(part, text) for part in _parts(person.name))), "")


def _parts(name: str) -> list[str]:
    return re.findall(r"[^\W\d_]+(?:['\u2019-][^\W\d_]+)*", name)


def _part(part: str, text: str) -> str:
    if part.lower() == part.upper():  # a script without capitals
        return part if len(part) > 1 and part in text else ""
    if len(part) < _SHORTEST_WORD or part[0].islower():
        return ""
    return _word(part, text) or _word(part.upper(), text)


def _word(word: str, text: str, flags: re.RegexFlag = re.NOFLAG) -> str:
    found = re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text, flags) if word else None
    return found[0] if found else ""
