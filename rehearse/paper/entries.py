"""The parts that more than one report is laid out from: values turned into texts and marks."""

from __future__ import annotations

from collections.abc import Iterable

from rehearse.judge.verdict import Verdict
from rehearse.paper.marks import OF_OUTCOME, OF_STANDING, OF_VERDICT
from rehearse.paper.typeset import Tree
from rehearse.paper.values import Heading, Outcome, Signature, Standing
from rehearse.paper.wording import grouped, minute, named, verdict

LONG = 160  # a text of more letters than this may go on to the next sheet
LONG_ROW = 900  # and so may a row whose texts have more than this together


def of_verdict(value: Verdict) -> Tree:
    """A verdict with its mark; whatever is not simply right is set heavy."""
    return _entry(verdict(value), OF_VERDICT[value], value is not Verdict.SAID)


def of_outcome(value: Outcome | None) -> Tree:
    """An outcome with its mark; None when there was no check."""
    if value is None:
        return None
    return _entry(value.value, OF_OUTCOME[value], value is not Outcome.PASSED)


def of_standing(value: Standing) -> Tree:
    """A standing with its mark."""
    light = value in {Standing.CURRENT, Standing.IN_WINDOW}
    return _entry(value.value, OF_STANDING[value], not light)


def of_danger(dangerous: bool) -> Tree:
    """Whether what was said beyond the steps is forbidden."""
    return _entry(*(("dangerous", "warning", True) if dangerous else ("extra", "", False)))


def _entry(word: str, mark: str, heavy: bool) -> Tree:
    return {"word": word, "mark": mark, "heavy": heavy}


def of_signatures(heading: Heading, signatures: Iterable[Signature]) -> Tree:
    """Rows of the table of signatures, each one once, in the order of signing."""
    ordered = sorted(set(signatures), key=lambda one: (one.signed, one.signer.staff_number))
    return [
        {
            "by": named(one.signer),
            "role": one.role,
            "at": minute(heading, one.signed),
            "covers": one.covers,
            "warning": one.warning,
            "long": is_long(one.signer.name, one.covers, one.warning),
            "fingerprint": grouped(one.fingerprint),
        }
        for one in ordered
    ]


def is_long(*texts: str) -> bool:
    """The texts are too long to be kept on one sheet."""
    return any(len(text) > LONG for text in texts) or sum(map(len, texts)) > LONG_ROW
