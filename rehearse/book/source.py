"""From a file's bytes to text that is safe to parse: kind, size, encoding, invisible characters."""

from __future__ import annotations

import re
from pathlib import Path

from rehearse.book.faults import START, Faults, Mark

LIMIT = 1_000_000  # bytes; the longest manual chapter is a hundredth of it

# Control characters but tab and line ends, and the characters that a person cannot see and that
# come along when text is pasted from a word processor or a PDF.
INVISIBLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u00ad\u061c\u200b\u200e\u200f\u2028-\u202e"
    "\u2060-\u206f\ud800-\udfff\ufeff\ufff9-\ufffb\ufffe\uffff\U000e0000-\U000e007f]"
)
_TOLD = 20  # lines with invisible characters that are told one by one
_LINE_END = re.compile(r"\r\n|\r|\n")


def read_text(path: Path, faults: Faults) -> str | None:
    """The file's text, with invisible characters told and blanked; None when there is no text."""
    content = _read_bytes(path, faults)
    if content is None:
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8-sig", errors="replace")
        faults.add(
            _mark(before, len(before)),
            "file",
            "this is not UTF-8 text",
            "save the file with the encoding UTF-8",
        )
        return None
    _tell_invisible(text, faults)
    return INVISIBLE.sub(" ", text)


def _read_bytes(path: Path, faults: Faults) -> bytes | None:
    """At most `LIMIT` bytes are ever read, and only from a regular file: a pipe could hang."""
    try:
        if not path.exists():
            mend = "check the name and the folder"
            faults.add(START, "file", "there is no such file", mend)
        elif not path.is_file():
            faults.add(START, "file", "this is not a file", "name a procedure's YAML file")
        elif path.stat().st_size > LIMIT:
            _tell_too_big(faults)
        else:
            with path.open("rb") as stream:
                content = stream.read(LIMIT + 1)
            if len(content) <= LIMIT:
                return content
            _tell_too_big(faults)
    except (OSError, ValueError) as error:  # ValueError: a name the system cannot even look up
        reason = getattr(error, "strerror", None) or str(error)
        mend = "check its name and permissions"
        faults.add(START, "file", f"it cannot be read: {reason}", mend)
    return None


def _tell_too_big(faults: Faults) -> None:
    faults.add(
        START,
        "file",
        "it is larger than 1 MB",
        "a procedure file holds one procedure; split it or name the right file",
    )


def _tell_invisible(text: str, faults: Faults) -> None:
    """One fault a line, at its first such character; a binary file is not told line by line."""
    if INVISIBLE.search(text) is None:
        return
    found = [
        (Mark(number, match.start() + 1), match[0])
        for number, line in enumerate(_LINE_END.split(text), start=1)
        if (match := INVISIBLE.search(line)) is not None
    ]
    for mark, char in found[:_TOLD]:
        fault = f"there is an invisible character here (U+{ord(char):04X})"
        faults.add(mark, "file", fault, "delete it, or type the line anew in a plain text editor")
    if len(found) > _TOLD:
        fault = f"{len(found) - _TOLD} more lines from here on hold invisible characters"
        faults.add(found[_TOLD][0], "file", fault, "check that this is a procedure file at all")


def _mark(text: str, offset: int) -> Mark:
    """The place `offset` characters into the text."""
    lines = _LINE_END.split(text[:offset])
    return Mark(len(lines), len(lines[-1]) + 1)
