"""The sentences and requests of one language, read from its file into values."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from string import Formatter
from typing import Any

import yaml

from rehearse.errors import RehearseError

# Every sentence there must be, and the words in braces it may use.
SAY: Mapping[str, frozenset[str]] = {
    name: frozenset(slots.split())
    for name, slots in {
        "welcome": "title steps notice", "welcome_quiet": "title steps notice", "steps": "count",
        "nudge_start": "", "nudge_next": "", "nudge_more": "", "first_words": "words",
        "whole_step": "step", "correction": "why", "danger": "why", "unclear": "",
        "unclear_named": "words", "skipped": "", "nothing_left": "", "restarted": "",
        "nothing_said": "", "quiet": "", "progress": "said steps", "progress_wrong": "count",
        "help": "requests",
    }.items()
}  # fmt: skip
DEBRIEF: Mapping[str, frozenset[str]] = {
    name: frozenset(slots.split())
    for name, slots in {
        "all_said": "steps", "all_said_failed": "steps", "some_said": "said steps",
        "none_said": "steps", "first": "point", "then": "point", "left_out": "step",
        "part": "step", "wrong": "step", "order": "step",
        "unclear": "step", "forbidden": "", "more": "count",
    }.items()
}  # fmt: skip
FAMILIES = ("hint", "again", "skip", "over", "stop", "done", "progress", "help")


@dataclass(frozen=True)
class RequestWords:
    """The phrases of every request, and what may stand around them; see `phrases/en.yaml`.

    written_out: contractions and other spellings, and what they are read as.
    """

    fillers: tuple[str, ...]
    before: tuple[str, ...]
    after: tuple[str, ...]
    families: Mapping[str, tuple[str, ...]]
    written_out: Mapping[str, str]


@dataclass(frozen=True)
class Phrasebook:
    """One language's sentences by name; a sentence that depends on a count has two forms."""

    language: str
    sentences: Mapping[str, str | Mapping[str, str]]
    requests: RequestWords

    def text(self, name: str, **words: object) -> str:
        """The sentence with its words filled in, single spaces and single closing marks."""
        return filled(self.sentences[name], words)


def filled(sentence: str | Mapping[str, str], words: Mapping[str, object]) -> str:
    """The sentence, or that of its forms which fits `count`, with its words filled in.

    Single spaces and single closing marks.
    """
    if not isinstance(sentence, str):
        sentence = sentence["one" if words["count"] == 1 else "other"]
    text = " ".join(sentence.format(**words).split())
    return re.sub(r"([.!?])\.(?!\.)", r"\1", text)


def _checked(language: str, rows: Mapping[str, Any], known: Mapping[str, frozenset[str]]) -> None:
    if missing := known.keys() - rows.keys():
        raise RehearseError(f"coach phrases '{language}': add the sentence '{min(missing)}'")
    for name, sentence in rows.items():
        if name not in known:
            raise RehearseError(f"coach phrases '{language}': remove the unknown '{name}'")
        if fault := _fault(sentence, known[name]):
            raise RehearseError(f"coach phrases '{language}': '{name}' {fault}")


def _fault(sentence: object, known: frozenset[str]) -> str:
    """What is wrong with a sentence that is to use these words; "" when nothing is."""
    counted = known == {"count"}
    if counted and not (isinstance(sentence, Mapping) and set(sentence) == {"one", "other"}):
        return "needs a text for 'one' and for 'other'"
    if not counted and not isinstance(sentence, str):
        return "needs one text"
    forms = sentence if isinstance(sentence, Mapping) else {"other": sentence}
    for count, form in forms.items():
        used = {slot for _, slot, _, _ in Formatter().parse(str(form)) if slot is not None}
        if unknown := used - known:
            return f"cannot fill {{{min(unknown)}}}"
        if count == "other" and (unused := known - used):
            return f"must say {{{min(unused)}}}"
    return ""


def parsed(language: str, data: Mapping[str, Any]) -> Phrasebook:
    """The phrasebook in a file's data.

    Raises:
        RehearseError: a sentence or family is missing, unknown or asks for an unknown word.
    """
    _checked(language, data["say"], SAY)
    _checked(language, data["debrief"], DEBRIEF)
    requests = data["requests"]
    if set(requests["families"]) != set(FAMILIES):
        raise RehearseError(f"coach phrases '{language}': requests must be {', '.join(FAMILIES)}")
    debrief = {f"debrief.{name}": sentence for name, sentence in data["debrief"].items()}
    return Phrasebook(
        language=language,
        sentences={**data["say"], **debrief},
        requests=RequestWords(
            fillers=tuple(requests["fillers"]),
            before=tuple(requests["before"]),
            after=tuple(requests["after"]),
            families={name: tuple(said) for name, said in requests["families"].items()},
            written_out=requests["written_out"],
        ),
    )


@lru_cache
def phrasebook(language: str) -> Phrasebook:
    """The shipped phrasebook of a language (ISO 639-1).

    Raises:
        RehearseError: there is none.
    """
    source = resources.files("rehearse.coach").joinpath("phrases").joinpath(f"{language}.yaml")
    if not source.is_file():
        raise RehearseError(
            f"the coach does not speak '{language}'; write 'language: en' in the procedure"
        )
    return parsed(language, yaml.safe_load(source.read_text("utf-8")))
