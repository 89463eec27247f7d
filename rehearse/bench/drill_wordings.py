"""The commands that are shouted in constructed drills, and near ones that are wrong. Pure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Wording:
    """A command. wrong: near ones that must not pass; the first stands in the drill as `never`."""

    id: str
    say: str
    half: str
    wrong: tuple[str, ...]


WORDINGS = {
    wording.id: wording
    for wording in (
        Wording(
            "brace",
            "Get low! Hold your legs!",
            "Hold your legs!",
            ("Get up! Hold your legs!", "Get low! Hold your bags!"),
        ),
        Wording(
            "belts",
            "Belts off! Bags down! This way out!",
            "Belts off! This way out!",
            ("Belts on! Bags down! This way out!", "Belts off! Bags up! This way out!"),
        ),
        Wording(
            "filling",
            "Stop there! Slide filling!",
            "Stop there!",
            ("Go on! Slide filling!", "Stop there! Slide ready!"),
        ),
        Wording(
            "slide",
            "Slide! Two by two!",
            "Two by two!",
            ("Slide! One by one!", "Wait! Two by two!"),
        ),
        Wording(
            "dead",
            "Door dead! Turn back!",
            "Turn back!",
            ("Door open! Turn back!", "Door dead! Come back!"),
        ),
        Wording(
            "across",
            "Other side! Cross over!",
            "Cross over!",
            ("This side! Stay here!", "Other side! Stay here!"),
        ),
        Wording(
            "flow",
            "Step out! Keep going!",
            "Keep going!",
            ("Step out! Stop going!", "Step in! Keep going!"),
        ),
    )
}


def texts() -> list[str]:
    """Everything that is said in any case."""
    each = [(word.say, word.half, *word.wrong) for word in WORDINGS.values()]
    return list(dict.fromkeys(text for said in each for text in said))
