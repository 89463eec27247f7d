"""A procedure to practise, the one the design shows."""

from __future__ import annotations

from datetime import date

import pytest

from rehearse.book.model import PassRule, Procedure, Revision, Step


@pytest.fixture
def procedure() -> Procedure:
    """Arm door two left: five steps in strict order, two of them critical."""
    return Procedure(
        id="arm-door-2l",
        title="Arm door 2 left",
        aircraft="tarn-240",
        positions=("C4",),
        language="en",
        revision=Revision(3, date(2026, 10, 1), "CSM 4.2.1"),
        order="strict",
        pass_rule=PassRule(critical="all", share=0.8),
        steps=(
            Step("flap", "Open the flap and pull the spring pin"),
            Step(
                "drum",
                "Turn the mode drum a quarter turn towards the hinge to armed",
                critical=True,
            ),
            Step("pin", "Let the spring pin snap home and close the flap"),
            Step("panes", "Check both witness panes show the amber band", critical=True),
            Step("call", "Door two left armed and cross-checked", command=True),
        ),
    )
