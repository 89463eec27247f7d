"""One sentence of reason for each verdict, fit to be spoken."""

from __future__ import annotations

from rehearse.book.model import Step
from rehearse.judge.evidence import Evidence
from rehearse.judge.verdict import Verdict
from rehearse.language import Language

STOPS = " .,;:!?"  # what a quoted text must not end in, since the sentence goes on


def why(
    step: Step,
    evidence: Evidence | None,
    verdict: Verdict,
    language: Language,
    *,
    before: str = "",
    after: str = "",
    slip: str = "",
) -> str:
    """The reason for the verdict.

    before: the step that should have come first but came later. after: the step that should have
    come later but came first. slip: what was said before it was corrected.
    """
    reasons = language.lexicon.reasons
    values = {
        "say": step.say.rstrip(STOPS),
        "heard": evidence.span.text.rstrip(STOPS) if evidence else "",
        "slip": slip.rstrip(STOPS),
        "missing": evidence.missing if evidence else "",
        "slot": evidence.heard if evidence else "",
        "expected": evidence.expected if evidence else "",
        "word": evidence.doubtful if evidence else "",
        "before": before.rstrip(STOPS),
        "after": after.rstrip(STOPS),
    }
    return reasons[_kind(evidence, verdict, before, slip)].format(**values)


def _kind(evidence: Evidence | None, verdict: Verdict, before: str, slip: str) -> str:
    if evidence is None or verdict is Verdict.NOT_SAID:
        return "not_said"
    if verdict is Verdict.SAID:
        mended = "corrected_slip" if slip else "corrected"
        return mended if evidence.corrected else "said"
    if verdict is Verdict.INCOMPLETE:
        return "incomplete" if evidence.missing else "incomplete_bare"
    if verdict is Verdict.WRONG:
        return "wrong_slot" if evidence.heard and evidence.expected else "wrong"
    if verdict is Verdict.UNCLEAR:
        return "unclear_word" if evidence.doubtful else "unclear"
    return "out_of_order" if before else "out_of_order_late"
