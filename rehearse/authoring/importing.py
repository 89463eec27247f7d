"""One file of a manual in, procedures and what is to be decided out: by the file's kind."""

from __future__ import annotations

from pathlib import Path

from rehearse.authoring.markdown import read_markdown
from rehearse.authoring.plain_text import read_plain
from rehearse.authoring.table import read_csv, read_xlsx
from rehearse.authoring.take_table import take_table
from rehearse.authoring.taken import Taken, Target
from rehearse.authoring.taking import take_manual
from rehearse.authoring.words import sign_words
from rehearse.authoring.writing import file_text
from rehearse.book.faults import Faults
from rehearse.book.source import read_text
from rehearse.errors import AuthoringError

_MARKDOWN = frozenset({".md", ".markdown"})
_PLAIN = frozenset({".txt", ".text"})


def take_over(path: Path, target: Target, sheet: str = "") -> Taken:
    """The procedures of a Markdown, plain text, CSV or XLSX file.

    Raises:
        AuthoringError: the file is of another kind, or holds no steps.
        BookError: it cannot be read, or a table's columns or cells cannot be used.
    """
    words = sign_words(target.language)
    kind = path.suffix.lower()
    if sheet and kind != ".xlsx":
        raise AuthoringError(f"{path}: only an XLSX file has sheets; leave --sheet out")
    if kind == ".csv":
        return take_table(read_csv(path), path, target, words)
    if kind == ".xlsx":
        return take_table(read_xlsx(path, sheet), path, target, words)
    if kind not in _MARKDOWN | _PLAIN:
        raise AuthoringError(
            f"{path}: a .md, .txt, .csv or .xlsx file can be taken over; save it as one of these"
        )
    faults = Faults(path)
    text = read_text(path, faults)
    if text is None or faults:
        raise faults.error()
    read = read_markdown if kind in _MARKDOWN else read_plain
    return take_manual(read(text, words), target, words)


def texts_of(taken: Taken) -> dict[str, str]:
    """The text of each procedure's file, by the file's name."""
    return {f"{procedure.id}.yaml": file_text(procedure) for procedure in taken.procedures}
