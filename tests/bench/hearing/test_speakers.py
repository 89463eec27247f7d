"""The voices of the hearing benchmark."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from rehearse.authoring.voices import SpeakingVoice
from rehearse.bench.drill_voices import PROGRAMS, Recorded, Shouter, Synthetic
from rehearse.bench.hearing.speakers import can_say, cast, of_folders, say_all
from rehearse.bench.shouting import Clip
from rehearse.errors import VoiceError
from rehearse.fit.garbles import VOICES


def test_what_was_fitted_on_is_never_tested_on() -> None:
    """The figures would be those of voices that thresholds and judges have learnt from."""
    known = cast()
    fitted = {f"{voice.program} {voice.name}" for voice in VOICES}
    assert {known.split(voice) for voice in fitted} == {"fit"}
    assert {known.split(str(voice)) for voice in PROGRAMS} == {"test"}
    assert known.split("am_adam@fr") == "fit"  # the same style with a colouring
    assert known.split("am_adamant") == known.split("af_bella@fr") == "test"


def test_every_voice_has_one_group() -> None:
    """Half the voices would be counted with the wrong speakers, or with none."""
    known = cast()
    groups = {
        "af_bella": "native",
        "bm_lewis": "native",
        "piper joe": "native",
        "af_bella@de": "not native",
        "zf_xiaoni": "not native",
        "flite kal": "robotic",
        "espeak-ng en-us+f1": "robotic",
        "somebody": "not native",
    }
    assert {voice: known.group(voice) for voice in groups} == groups


def test_there_are_twenty_voices_of_programs_and_most_are_for_testing() -> None:
    """A machine with the usual speech programs could not run the benchmark by itself."""
    known = cast()
    assert len(set(known.programs)) >= 20
    assert sum(known.split(voice) == "test" for voice in known.programs) * 3 >= len(known.programs)


def test_voices_speak_into_a_folder_that_is_heard_like_any_other(
    tmp_path: Path, hummer: Shouter
) -> None:
    """A machine without speech programs could not hear the voices of one that has them."""
    folder = tmp_path / "clips"
    said = ["Open the flap", "Pull the red toggle"]
    assert not list(say_all(folder, [hummer], lambda _voice: said, lambda _text: None))
    (voice,) = of_folders([folder])
    assert voice.name == hummer.name
    for text in said:
        assert can_say(voice, text)
        assert voice.say(text).seconds == pytest.approx(hummer.say(text).seconds, abs=0.02)
    assert not can_say(voice, "Close the flap")
    assert can_say(hummer, "Close the flap")


def test_a_voice_that_fails_is_left_out_with_a_line(tmp_path: Path, hummer: Shouter) -> None:
    """One text that a program chokes on would end the whole, or go missing in silence."""

    class Hoarse:
        name = "hoarse"

        def say(self, text: str) -> Clip:
            """Fails at one text."""
            if text == "Open the flap":
                raise VoiceError("no voice today; install one")
            return hummer.say(text)

    told = list(
        say_all(tmp_path, [Hoarse()], lambda _: ["Open the flap", "Pull"], lambda _text: None)
    )
    assert told == ["hoarse: 'Open the flap' is left out: no voice today; install one"]
    rows = [json.loads(line) for line in (tmp_path / "lines.jsonl").read_text().splitlines()]
    assert [row["text"] for row in rows] == ["Pull"]


def test_the_same_voice_in_two_folders_is_one(tmp_path: Path) -> None:
    """A voice whose texts were made in two goes would be counted twice."""
    for name, text in (("one", "Pull"), ("two", "Push")):
        folder = tmp_path / name
        folder.mkdir()
        row = {"id": "x-1", "voice": "x", "text": text}
        (folder / "lines.jsonl").write_text(json.dumps(row) + "\n")
    (voice,) = of_folders([tmp_path / "one", tmp_path / "two"])
    assert isinstance(voice, Recorded)
    assert set(voice.paths) == {"Pull", "Push"}


def test_festival_is_asked_for_its_voice(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Festival would speak with whichever voice it begins with."""
    asked: list[list[str]] = []
    monkeypatch.setattr("subprocess.run", lambda order, **_options: asked.append(order))
    Synthetic(SpeakingVoice("festival", "slt")).voice.say("Pull", tmp_path / "a.wav")
    assert asked[0][:3] == ["text2wave", "-eval", "(voice_slt)"]
