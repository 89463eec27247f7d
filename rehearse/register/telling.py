"""What an answer was worth as a whole, and why, from the verdicts on its parts; pure."""

from __future__ import annotations

from rehearse.judge.verdict import Result, Verdict


def outcome(result: Result) -> str:
    """Right, partly or wrong."""
    if result.passed:
        return "right"
    wrong = any(step.verdict is Verdict.WRONG for step in result.steps)
    return "wrong" if wrong or any(e.dangerous for e in result.extras) else "partly"


def only_unclear(result: Result) -> bool:
    """Nothing is wrong or left out, but not all of it could be made out."""
    verdicts = {step.verdict for step in result.steps}
    return verdicts <= {Verdict.SAID, Verdict.UNCLEAR} and not (
        result.passed or any(extra.dangerous for extra in result.extras)
    )


def whys(result: Result) -> list[str]:
    """Why the answer was not right: what was named wrongly first, then what else."""
    false = [extra.why for extra in result.extras if extra.dangerous]
    bad = {Verdict.WRONG, Verdict.INCOMPLETE, Verdict.UNCLEAR}
    return false + [step.why for step in result.steps if step.verdict in bad]
