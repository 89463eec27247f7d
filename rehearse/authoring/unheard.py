"""Words of a procedure that a model with a closed vocabulary cannot hear, by name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from rehearse.book.advice import Advice
from rehearse.book.model import Procedure

Lacking = Callable[[str], Sequence[str]]
"""The words of a text that the model does not know, as they sound."""


def unheard(procedure: Procedure, lacking: Lacking) -> Mapping[str, tuple[str, ...]]:
    """The ids of steps with such words in any wording or `never`, and the words."""
    found = {
        step.id: tuple(
            dict.fromkeys(word for text in (*step.wordings, *step.never) for word in lacking(text))
        )
        for step in procedure.steps
    }
    return {step: words for step, words in found.items() if words}


def unheard_line(procedure: Procedure, lacking: Lacking) -> str:
    """What a person should know before the procedure is said; "" when every word is known."""
    words = dict.fromkeys(word for each in unheard(procedure, lacking).values() for word in each)
    if not words:
        return ""
    return (
        f"the speech model for '{procedure.language}' does not know: {', '.join(words)}; "
        "what is said with these words is not heard, or left unclear"
    )


def unheard_advice(procedure: Procedure, lacking: Lacking) -> Iterator[Advice]:
    """The same as advice on the steps."""
    for step, words in unheard(procedure, lacking).items():
        yield Advice(
            "unheard",
            f"steps[{step}].say",
            f"words that the speech model for '{procedure.language}' does not know: "
            f"{', '.join(words)}",
            "use other words, or expect the step to stay unclear",
        )
