"""How a step is quoted in a spoken sentence."""

from __future__ import annotations

import re

from rehearse.coach.pace import BRIEF_WORDS, FIRST_WORDS

_HANGING = 2  # letters


def sentence(text: str) -> str:
    """The text with a full stop when it ends in no mark of its own; "" stays ""."""
    text = text.strip()
    if not text:
        return ""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def first_words(step: str, count: int = FIRST_WORDS) -> str:
    """The first words of a step, never all of it, ending before its first punctuation mark.

    A very short word at the end ("a", "to") goes too: it would leave the phrase hanging.
    """
    words = step.split()
    given: list[str] = []
    for word in words[: max(1, min(count, len(words) - 1))]:
        given.append(word)
        if re.search(r"[^\w'’]$", word):
            break
    while len(given) > 1 and len(given[-1]) <= _HANGING:
        given.pop()
    return re.sub(r"[^\w'’]+$", "", " ".join(given))


def brief(step: str, count: int = BRIEF_WORDS) -> str:
    """A step short enough to name it among others: all of a short one, the start of a long one."""
    words = step.split()
    if len(words) <= count + 1:
        return step
    given = words[:count]
    while len(given) > 1 and len(given[-1]) <= _HANGING:
        given.pop()
    return re.sub(r"[^\w'’]+$", "", " ".join(given))


def stretch(step: str, missing: str) -> str:
    """The part of a step that spans the missing words, as the step has it.

    The judge names the words that count ("close flap"); spoken, the phrase around them is
    clearer ("close the flap"). Where they do not stand close together they stay as they are.
    """
    words = [re.sub(r"[^\w'’]", "", word).lower() for word in step.split()]
    wanted = re.findall(r"[\w'’]+", missing.lower())
    if not wanted or not set(wanted) <= set(words):
        return missing
    places = [at for at, word in enumerate(words) if word in wanted]
    first, last = places[0], places[-1]
    if last - first >= 2 * len(wanted):
        return missing
    return re.sub(r"[^\w'’]+$", "", " ".join(step.split()[first : last + 1]))
