"""What `book freeze` does."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime

from rehearse.authoring.freezing import freeze
from rehearse.book import reader
from rehearse.cli.common import PASSED, say
from rehearse.errors import BookError, Problem


def freeze_(options: argparse.Namespace) -> int:
    """Seal revisions, all or none."""
    faults: list[Problem] = []
    procedures = []
    for path in options.files:
        try:
            procedures.append(reader.read(path))
        except BookError as error:
            faults += error.problems
    if faults:
        raise BookError(faults)
    for each in freeze(procedures, datetime.now(UTC).astimezone().date()):
        done = "sealed" if each.anew else f"was sealed on {each.seal.date}"
        what = f"{each.seal.procedure} revision {each.seal.revision}"
        say(f"{each.procedure.path}: {what} {done}, SHA-256 {each.seal.sha256}")
    return PASSED
