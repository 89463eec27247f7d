"""How well steps are heard: which are told, which words are lost, and the voices themselves."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
import soundfile

from rehearse.authoring.heard import Listened, Trial, listened, misheard
from rehearse.authoring.unheard import unheard_advice
from rehearse.authoring.voices import SpeakingVoice, voices_for
from rehearse.book.advice import Advice
from rehearse.book.model import Procedure, Step
from rehearse.book.reader import read
from rehearse.cli import book_listen
from rehearse.errors import VoiceError
from rehearse.events import Heard
from rehearse.judge.verdict import Result, StepResult, Verdict
from tests.authoring.conftest import ARM, Type

DRUM = Step("drum", "Turn the mode drum to armed")
VOICES = tuple(SpeakingVoice("flite", name) for name in ("a", "b", "c", "d"))


@dataclass
class Literal:
    """A judge that credits a step only when its very words are heard."""

    heard: list[str] = field(default_factory=list)

    def restart(self) -> None:
        """Forget."""
        self.heard.clear()

    def add(self, heard: Heard) -> None:
        """Remember."""
        self.heard.append(heard.text)

    def result(self) -> Result:
        """Said or not said."""
        said = " ".join(self.heard) == DRUM.say
        verdict = Verdict.SAID if said else Verdict.NOT_SAID
        step = StepResult("drum", verdict, 0.5, "", None, None, "")
        return Result("p", 1, passed=said, steps=(step,), extras=())


def heard_as(*texts: str) -> Listened:
    """The drum said by one voice for each text, and heard as the text."""
    by_voice = dict(zip(VOICES, texts, strict=False))

    def hear(_say: str, voice: SpeakingVoice) -> Sequence[Heard]:
        parts = by_voice[voice].split("|")
        return [Heard(float(at), at + 1.0, part) for at, part in enumerate(parts) if part]

    procedure = replace(read(ARM), steps=(DRUM,))
    (found,) = listened(procedure, VOICES[: len(texts)], hear, Literal())
    return found


def test_what_is_heard_well_is_not_told() -> None:
    """Half of the voices are enough, and utterances of one saying belong together."""
    found = heard_as(DRUM.say, "Turn the mode|drum to armed", "Turn the most", "")
    assert found.credited == 2
    assert list(misheard(found)) == []


def test_what_is_not_heard_is_told_with_its_words() -> None:
    """A step that too few voices get through is told, with what was lost and what was heard."""
    found = heard_as(DRUM.say, "Turn the modem to armed", "Turn the modem too armed", "")
    (advice,) = misheard(found)
    assert (advice.code, advice.field) == ("misheard", "steps[drum].say")
    assert advice.fault == "credited in 1 of 4 voices; heard as 'Turn the modem to armed'"
    assert advice.mend == "use other words for mode, drum, to, or add the sayings to 'also'"


def test_a_trial_that_is_out_of_order_was_heard() -> None:
    """A step that must follow others is heard all the same when it is said alone."""
    assert Trial(VOICES[0], "x", Verdict.OUT_OF_ORDER).credited
    assert not Trial(VOICES[0], "x", Verdict.UNCLEAR).credited


@pytest.mark.parametrize("text", ["Open the door", "- v", "Öffne die Tür"])
def test_every_voice_speaks(tmp_path: Path, text: str) -> None:
    """Each voice makes a sound of the text, also of one that looks like an option."""
    for voice in voices_for("en"):
        path = tmp_path / "said.wav"
        voice.say(text, path)
        assert soundfile.info(path).duration > 0.2, voice
        path.unlink()


def test_no_voice_and_a_voice_that_fails(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Without a speech program, or with one that fails, a line says what to install."""
    with pytest.raises(VoiceError, match="cannot speak with the voice nobody"):
        SpeakingVoice("espeak-ng", "nobody").say("x", tmp_path / "x.wav")
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    with pytest.raises(VoiceError, match="apt-get install espeak-ng"):
        voices_for("en")


def test_lint_listens_when_asked(
    type_in: Type, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is not heard well is advice with its place, and a decision about it is known to lint."""

    class Deaf:
        """Hears nothing of any step."""

        def listened(self, procedure: Procedure) -> list[Listened]:
            """Each step missed by one voice."""
            trial = Trial(VOICES[0], "", Verdict.NOT_SAID)
            return [Listened(step, (trial,)) for step in procedure.steps[:1]]

        def unheard(self, procedure: Procedure) -> list[Advice]:
            """The model that was added lacks a word of the second step."""
            return list(unheard_advice(procedure, lambda text: ("drum",) * ("drum a" in text)))

    monkeypatch.setattr(book_listen, "Ears", Deaf)
    path = tmp_path / "arm.yaml"
    path.write_text(ARM.read_text("utf-8"), "utf-8")
    (tmp_path / "decisions.yaml").write_text(
        "decisions: [{warning: misheard, procedure: arm-door-2l, step: flap, why: The manual's "
        "own words., who: Ada Mark, date: 2026-11-27}]\n",
        "utf-8",
    )
    line, unknown = type_in("book", "lint", "--words-only", "--listen", path).out
    assert unknown.startswith(
        f"{path}:16:10: steps[drum].say: words that the speech model for 'en'"
    )
    assert "does not know: drum; use other words" in unknown
    assert line.startswith(f"{path}:12:10: steps[flap].say: credited in 0 of 1 voices")
    assert line.endswith("[misheard]; decided: The manual's own words. (Ada Mark, 2026-11-27)")
    assert type_in("book", "lint", "--words-only", path).out == [f"{path}: nothing to mend"]
