"""Spoken requests: heard when meant, and never made out of the procedure's own words."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.model import Procedure
from rehearse.book.shelf import files
from rehearse.coach.phrasebook import phrasebook
from rehearse.coach.requests import (
    Request,
    phrases,
    request,
    requested,
    teachable,
    wordings_of,
)
from rehearse.events import Heard

_BOOK = Path(__file__).parents[2] / "procedures"


def procedures() -> dict[str, tuple[str, ...]]:
    """Everything each shipped procedure may have said, by its name."""
    found = {}
    for path in files(_BOOK):
        steps = yaml.safe_load(path.read_text("utf-8")).get("steps", [])
        found[path.stem] = tuple(
            text
            for step in steps
            for text in (step["say"], *step.get("also", []), *step.get("never", []))
        )
    return found


SHIPPED = procedures()
WORDINGS = [(name, wording) for name, all_of in SHIPPED.items() for wording in all_of]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("A hint.", Request.HINT),
        ("Er, can I have a hint please?", Request.HINT),
        ("I'd like a hint", Request.HINT),
        ("Could you give me a hint, please?", Request.HINT),
        ("What's next?", Request.HINT),
        ("Say again?", Request.AGAIN),
        ("Sorry, can you repeat that, please?", Request.AGAIN),
        ("Skip this step.", Request.SKIP),
        ("um skip it", Request.SKIP),
        ("Can we start over?", Request.OVER),
        ("Let's start again from the beginning.", Request.OVER),
        ("STOP!", Request.STOP),
        ("Okay, stop please.", Request.STOP),
        ("I want to stop.", Request.STOP),
        ("I'm finished.", Request.DONE),
        ("How am I doing?", Request.PROGRESS),
        ("how am I doing so far", Request.PROGRESS),
        ("What can I say?", Request.HELP),
        ("Help me, please!", Request.HELP),
    ],
)
def test_hears_a_request_with_its_politeness(said: str, meant: Request) -> None:
    """Fillers and polite words around a request do not hide it."""
    assert request(said) is meant


@pytest.mark.parametrize(
    "said",
    [
        "",
        "...",
        "please",
        "er",
        "Stop! Turn back!",
        "Stop there! Slide filling!",
        "Stop! Stop! Stop!",
        "I stop the drum at the mark",
        "say again the call",
        "start over by closing the flap",
        "then I skip the left door",
        "turn the drum again",
        "I could give you a hint",
        "the lamp helps me",
        "help the passengers out",
        "stop the engine",
        "begin again at the aft door",
    ],
)
def test_takes_nothing_else_for_a_request(said: str) -> None:
    """Only a whole utterance is a request; its words inside a sentence are not."""
    assert request(said) is None


@pytest.mark.parametrize(("name", "wording"), WORDINGS)
def test_no_shipped_wording_is_a_request(name: str, wording: str) -> None:
    """No sentence of any shipped procedure is taken for a request, even without its procedure."""
    assert request(wording) is None, name


@given(st.sampled_from(WORDINGS), st.data())
def test_no_part_of_a_procedure_is_a_request(chosen: tuple[str, str], data: st.DataObject) -> None:
    """A sentence broken off anywhere, or begun in the middle, is no request in its procedure."""
    name, wording = chosen
    words = wording.split()
    first = data.draw(st.integers(0, len(words) - 1))
    last = data.draw(st.integers(first + 1, len(words)))
    assert request(" ".join(words[first:last]), SHIPPED[name]) is None


@given(st.sampled_from(phrases()), st.sampled_from(["", "then ", "I ", "the "]), st.data())
def test_a_procedure_that_holds_the_words_keeps_them(
    phrase: str, before: str, data: st.DataObject
) -> None:
    """Whatever a step says wins over a request of the same words, in any case or mark."""
    wording = before + data.draw(st.sampled_from([phrase, phrase.upper(), f"{phrase}! Now!"]))
    assert request(phrase, [wording]) is None


@pytest.mark.parametrize("phrase", phrases())
def test_every_listed_phrase_is_heard(phrase: str) -> None:
    """Each phrase the recogniser is told to expect is a request of its own family."""
    families = phrasebook("en").requests.families
    meant = request(phrase)
    assert meant is not None
    assert phrase in families[meant]


@given(st.text())
def test_any_text_is_read(text: str) -> None:
    """No text breaks it."""
    assert request(text) in {None, *Request}


def test_shouted_half_of_a_command_is_no_request() -> None:
    """A command cut in two by a breath does not end the take of that procedure."""
    wordings = SHIPPED["evacuation-commands"]
    assert request("Stop!") is Request.STOP
    assert request("Stop!", wordings) is None
    assert request("stop please", wordings) is None
    assert request("stop the practice", wordings) is Request.STOP


def test_teaches_what_the_procedure_leaves_free(procedure: Procedure) -> None:
    """Every phrase that help lists is a request in that very procedure, one of each kind."""
    wordings = wordings_of(procedure)
    meant = [request(phrase, wordings) for phrase in teachable(procedure)]
    assert meant == [asked for asked in Request if asked is not Request.HELP]


@pytest.mark.parametrize(
    ("support", "found"), [(2.0, Request.STOP), (None, Request.STOP), (-0.4, None)]
)
def test_what_the_sound_does_not_bear_out_is_not_obeyed(
    support: float | None, found: Request | None
) -> None:
    """A garble that was mended into a request would end the practice."""
    assert requested(Heard(0.0, 1.0, "Stop the practice.", support=support)) is found
    assert requested(Heard(0.0, 1.0, "Pull the pin.", support=2.0)) is None
