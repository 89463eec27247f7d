"""The small drawings that stand beside a word, told apart by shape alone, as SVG."""

from __future__ import annotations

from rehearse.judge.verdict import Verdict
from rehearse.paper.values import Outcome, Standing

SIZE = 14  # every mark is drawn in a square of this many units

_LINE = 'fill="none" stroke="#000" stroke-width="2" stroke-linecap="round" stroke-linejoin="round"'

MARKS = {
    "tick": f'<path {_LINE} d="M2 7.6 5.6 11 12 3.2"/>',
    "half": f'<circle {_LINE} cx="7" cy="7" r="5"/><path d="M7 2a5 5 0 0 0 0 10z"/>',
    "cross": f'<path {_LINE} d="M3 3 11 11M11 3 3 11"/>',
    "turned": (
        f'<path {_LINE} d="M4.2 12V2.5M1.8 5 4.2 2.4 6.6 5M9.8 2V11.5M7.4 9 9.8 11.6 12.2 9"/>'
    ),
    "empty": (
        '<rect fill="none" stroke="#000" stroke-width="1.6" stroke-dasharray="2.6 2.4" '
        'x="2" y="2" width="10" height="10"/>'
    ),
    "question": (
        f'<path {_LINE} d="M4.2 4.6A2.8 2.8 0 1 1 7 7.4V9"/><circle cx="7" cy="11.8" r="1.2"/>'
    ),
    "warning": (
        f'<path {_LINE} d="M7 1.8 12.8 12.4H1.2zM7 5.6V8.4"/><circle cx="7" cy="10.6" r=".9"/>'
    ),
}

OF_VERDICT = {
    Verdict.SAID: "tick",
    Verdict.INCOMPLETE: "half",
    Verdict.WRONG: "cross",
    Verdict.OUT_OF_ORDER: "turned",
    Verdict.NOT_SAID: "empty",
    Verdict.UNCLEAR: "question",
}

OF_OUTCOME = {
    Outcome.PASSED: "tick",
    Outcome.NOT_PASSED: "cross",
    Outcome.UNCLEAR: "question",
}

OF_STANDING = {
    Standing.CURRENT: "tick",
    Standing.IN_WINDOW: "half",
    Standing.DUE: "half",
    Standing.OVERDUE: "warning",
    Standing.NOT_YET: "empty",
    Standing.STALE: "turned",
    Standing.RETRAINING: "warning",
    Standing.NOT_PASSED: "cross",
}


def svg(name: str) -> str:
    """The mark as a picture of its own."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {SIZE}" '
        f'width="{SIZE}" height="{SIZE}">{MARKS[name]}</svg>'
    )
