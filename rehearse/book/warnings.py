"""The codes of lint's warnings, with what each is about: what a recorded decision refers to."""

from __future__ import annotations

WARNINGS = {
    "after-below": "a step follows one that stands below it",
    "after-idle": "an 'after' that changes nothing",
    "also-loose": "a wording that leaves out what a critical step must name",
    "also-twice": "a wording that is there already, in this step or another",
    "critical-bare": "a critical step that names nothing exact",
    "critical-reason": "a critical step without a reason",
    "decision-idle": "a decision about a warning that is not given any more",
    "judged-alike": "words of a step that the judge credits to another step too",
    "judged-missed": "words of a step that the judge does not credit to it",
    "long-command": "a command longer than a breath",
    "long-sentence": "a sentence with too many words for one step",
    "misheard": "words that the recogniser does not hear well",
    "never-close": "a forbidden statement close to what a step accepts",
    "never-credited": "a forbidden statement that the judge credits as the step",
    "never-unseen": "a forbidden statement in which the judge sees nothing wrong",
    "one-word": "a wording of a single word",
    "pass-idle": "a rule of passing that decides nothing",
    "pass-short": "a time in which nobody can say all steps",
    "placeholder": "a sentence of the starter file",
    "sealed": "a sealed text that changed without a new revision number",
    "steps-alike": "two steps with almost the same words",
    "steps-opposite": "two steps that differ in one word or number",
    "unheard": "words that the speech model of the language does not know",
}

JUDGED = frozenset({"judged-alike", "judged-missed", "never-credited", "never-unseen"})
"""Those that only the judge can tell."""

HEARD = frozenset({"misheard", "unheard"})
"""Those that only the recogniser can tell."""
