from __future__ import annotations

from datetime import date

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.hear.expectation import expect
from rehearse.language import Language


def test_wordings_and_both_sides_of_every_contrast_are_expected(language: Language) -> None:
    """Steps, other wordings and requests may be said; opposites and each `never` are contrasts."""
    drum = Step("drum", "Turn the drum to armed", also=("drum armed",), never=("leave the drum",))
    procedure = Procedure(
        "p", "P", "tarn-240", ("C4",), "en", Revision(1, date(2026, 10, 1), "CSM 1"), "strict",
        PassRule(), (drum,),
    )  # fmt: skip
    expectation = expect(procedure, language, ["say again"])
    assert expectation.wordings == ("Turn the drum to armed", "drum armed", "say again")
    assert "Turn the drum to disarmed" in expectation.contrasts
    assert "leave the drum" in expectation.contrasts
    assert not set(expectation.wordings) & set(expectation.contrasts)
