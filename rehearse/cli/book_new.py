"""What `book new` and `book import` do."""

from __future__ import annotations

import argparse
from datetime import UTC, date, datetime

from rehearse.authoring.importing import take_over, texts_of
from rehearse.authoring.landing import land
from rehearse.authoring.report import report
from rehearse.authoring.sentences import fits
from rehearse.authoring.starter import starter
from rehearse.authoring.taken import Target
from rehearse.book.beside import BESIDE
from rehearse.book.faults import shown
from rehearse.book.fields import is_id, is_position
from rehearse.cli.acting import day
from rehearse.cli.common import PASSED, say
from rehearse.errors import AuthoringError
from rehearse.language import load

MOST_REVISION = 999_999_999


def new_(options: argparse.Namespace) -> int:
    """Begin a procedure."""
    _must_be_id(options.name, "NAME")
    if f"{options.name}.yaml" in BESIDE:
        raise AuthoringError(f"NAME {options.name}: that file is no procedure's; name it otherwise")
    target = _target(options)
    title = options.title or options.name.replace("-", " ").capitalize()
    if not fits(title):
        raise AuthoringError(f"--title {shown(title)}: cannot be said; write words with letters")
    text = starter(
        options.name,
        title=title,
        aircraft=target.aircraft,
        positions=target.positions,
        language=target.language,
        effective=target.effective,
    )
    (path,) = land(options.into, {f"{options.name}.yaml": text}, replace=options.replace)
    say(f"{path}: begun; write its steps, then: rehearse book lint {path}")
    return PASSED


def import_(options: argparse.Namespace) -> int:
    """Take over a manual's lists as procedures."""
    taken = take_over(options.file, _target(options), options.sheet)
    written = land(options.into, texts_of(taken), replace=options.replace)
    for line in report(taken, options.file, written):
        say(line)
    return PASSED


def _target(options: argparse.Namespace) -> Target:
    """What was typed about the new files. Raises AuthoringError or RehearseError."""
    _must_be_id(options.aircraft, "--aircraft")
    for position in options.positions:
        if not is_position(position):
            raise AuthoringError(f"--positions {shown(position)}: no crew position; write it as C4")
    load(options.language)
    number = getattr(options, "revision", 1)
    if not 0 <= number <= MOST_REVISION:
        raise AuthoringError(f"--revision {number}: write a number from 0 to {MOST_REVISION}")
    return Target(
        file=options.file.name if "file" in options else "",
        aircraft=options.aircraft,
        positions=tuple(dict.fromkeys(options.positions)),
        language=options.language,
        number=number,
        effective=_effective(options.effective),
        manual=getattr(options, "manual", ""),
    )


def _effective(text: str) -> date:
    return day(text, "--effective") if text else datetime.now(UTC).astimezone().date()


def _must_be_id(text: str, option: str) -> None:
    if not is_id(text):
        mend = "write letters a to z, digits and hyphens, a letter or digit first"
        raise AuthoringError(f"{option} {shown(text)}: no id; {mend}")
