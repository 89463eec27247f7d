"""Input that cannot be used: one clear line each, exit status 2, no traceback, nothing changed."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Generator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.cli import main
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Chunk
from rehearse.session import engine, score, studio
from rehearse.weights.store import ENVIRONMENT, known_models, models_folder

ROOT = Path(__file__).parents[2]
PROCEDURE = ROOT / "procedures" / "tarn-240" / "arm-door-2l.yaml"
SPOKEN = ROOT / "examples" / "1-complete.flac"
GOOD_LINE = '{"text": "Open the flap and pull the spring pin", "start": 0, "end": 2}\n'


@dataclass(frozen=True)
class Outcome:
    """What a run left: its exit status, and the lines it printed to each stream."""

    status: int
    out: list[str]
    err: list[str]


Run = Callable[..., Outcome]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Types a command, in this process."""

    def typed(*argv: str | Path) -> Outcome:
        status = main([str(word) for word in argv])
        out, err = capsys.readouterr()
        return Outcome(status, out.splitlines(), err.splitlines())

    return typed


@pytest.fixture(scope="module")
def loaded() -> Callable[[str], engine.Engine]:
    """The models, loaded when they are first asked for."""
    return cache(engine.load_engine)


@pytest.fixture
def quick(loaded: Callable[[str], engine.Engine], monkeypatch: pytest.MonkeyPatch) -> None:
    """Spares each run the second in which it would load the models anew."""
    monkeypatch.setattr(engine, "load_engine", loaded)
    monkeypatch.setattr(score, "load_engine", loaded)
    monkeypatch.setattr(score, "load_readers", lambda: loaded("en").readers)


def _everything(folder: Path) -> dict[str, tuple[int, bytes]]:
    """Every file and folder below: when it was written and what it holds."""
    return {
        str(path.relative_to(folder)): (
            path.lstat().st_mtime_ns,
            path.read_bytes() if path.is_file() else b"",
        )
        for path in sorted(folder.rglob("*"))
    }


def _assert_refused(outcome: Outcome, place: Path | str, *parts: str) -> None:
    """Exit 2, nothing judged, and one line that names the place and holds the parts in order."""
    assert outcome.status == 2
    assert outcome.out == []
    (line,) = outcome.err
    assert line.startswith(f"rehearse: {place}")
    assert re.search(".*".join(map(re.escape, parts)), line), line


# --- procedure files ---------------------------------------------------------------------------

GOOD = PROCEDURE.read_text("utf-8")


def _changed(old: str, new: str) -> bytes:
    assert GOOD.count(old) == 1
    return GOOD.replace(old, new).encode()


# Each procedure file with the line and field its fault is in, and a part of the fault and the mend.
PROCEDURES: dict[str, tuple[bytes, str, str, str]] = {
    "malformed": (
        _changed("title: Arm door 2 left", "title: Arm: door 2 left"),
        "3:11: file",
        "not valid YAML",
        "in quotes",
    ),
    "unknown-key": (_changed("title:", "titel:"), "3:1: titel", "unknown", "write 'title'"),
    "duplicate-key": (
        _changed("aircraft: tarn-240", "title: Arm it\naircraft: tarn-240"),
        "4:1: title",
        "a second time, first in line 3",
        "keep one of the two",
    ),
    "cycle": (
        _changed("    command: true", "    command: true\n    after: [panes]").replace(
            b"after: [drum]", b"after: [call]"
        ),
        "43:13: steps[call].after[1]",
        "wait for each other",
        "take one of these ids out",
    ),
    "empty": (b"", "1:1: file", "the file is empty", "begin it with 'procedure: '"),
    "no-steps": (
        GOOD[: GOOD.index("steps:")].encode() + b"steps: []\n",
        "11:8: steps",
        "there are no steps",
        "list at least one step",
    ),
    "ten-megabytes": (b"a" * 10_000_000, "1:1: file", "larger than 1 MB", "split it"),
    "not-utf-8": (b"procedure: caf\xe9\n", "1:15: file", "not UTF-8", "encoding UTF-8"),
}
COMMANDS = (("book", "show"), ("book", "lint"), ("practise",), ("score", "--words", "WORDS"))


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("name", PROCEDURES)
def test_a_faulty_procedure_file_is_refused_by_every_command(
    run: Run, tmp_path: Path, name: str, command: tuple[str, ...]
) -> None:
    """File, line, column, field, fault and mend stand in one line, and the file stays as it is."""
    content, place, fault, mend = PROCEDURES[name]
    path, words = tmp_path / f"{name}.yaml", tmp_path / "good.jsonl"
    path.write_bytes(content)
    words.write_text(GOOD_LINE, encoding="utf-8")
    before = _everything(tmp_path)
    verb, *options = [str(words) if word == "WORDS" else word for word in command]
    argv = (verb, *options, path) if verb == "book" else (verb, path, *options)
    _assert_refused(run(*argv), f"{path}:{place}: ", fault, "; ", mend)
    assert _everything(tmp_path) == before


def test_references_that_would_unfold_without_end_are_refused_where_they_stand(
    run: Run, tmp_path: Path
) -> None:
    """A billion texts in ten lines: each line of the file is told, none is unfolded."""
    rows = [f"l{n}: &l{n} [{', '.join([f'*l{n - 1}'] * 9)}]" for n in range(1, 10)]
    path = tmp_path / "bomb.yaml"
    path.write_text("\n".join(["l0: &l0 [a, a]", *rows]), encoding="utf-8")
    outcome = run("book", "show", path)
    assert outcome.status == 2
    assert all(line.startswith(f"rehearse: {path}:") for line in outcome.err)
    for number in range(2, 11):
        assert any(
            line.startswith(f"rehearse: {path}:{number}:") and "reference" in line
            for line in outcome.err
        )
    assert all("; " in line for line in outcome.err)


@pytest.mark.parametrize("command", [("book", "show"), ("practise",), ("score",)], ids=" ".join)
def test_a_procedure_nobody_has_is_answered_with_the_nearest_one(
    run: Run, tmp_path: Path, command: tuple[str, ...]
) -> None:
    """A mistyped id costs no search."""
    options = ("--words", tmp_path / "any.jsonl") if command == ("score",) else ()
    outcome = run(*command, "arm-dor-2l", *options)
    _assert_refused(outcome, "there is no procedure 'arm-dor-2l'", "did you mean 'arm-door-2l'?")


def test_a_procedure_file_that_is_missing_is_named(run: Run, tmp_path: Path) -> None:
    """The path as it was typed, and what to do."""
    path = tmp_path / "none.yaml"
    _assert_refused(run("book", "show", path), path, "no such file", "check the name")


# --- models ------------------------------------------------------------------------------------


def _linked_models(folder: Path) -> Path:
    for model in known_models():
        (folder / model).mkdir(parents=True)
        for file in (models_folder() / model).iterdir():
            (folder / model / file.name).symlink_to(file)
    return folder


def _altered(path: Path) -> None:
    content = path.read_bytes()
    path.unlink()
    path.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))


@pytest.mark.parametrize("option", ["--audio", "--words"])
@pytest.mark.parametrize(
    ("file", "spoil", "fault"),
    [
        ("step-judge-mpnet/model.onnx", Path.unlink, "missing"),
        ("step-judge-minilm/tokenizer.json", Path.unlink, "missing"),
        ("step-judge-mpnet/labels.json", _altered, "altered"),
        ("whisper-base-int8/model.bin", Path.unlink, "missing"),
        ("whisper-base-int8/vocabulary.txt", _altered, "altered"),
    ],
)
def test_a_model_file_that_is_missing_or_altered_stops_what_needs_it(
    run: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    *,
    option: str,
    file: str,
    spoil: Callable[[Path], None],
    fault: str,
) -> None:
    """The file is named with the mend; words files do without the models for hearing."""
    folder = _linked_models(tmp_path / "models")
    spoil(folder / file)
    monkeypatch.setenv(ENVIRONMENT, str(folder))
    words = tmp_path / "good.jsonl"
    words.write_text(GOOD_LINE, encoding="utf-8")
    outcome = run("score", PROCEDURE, option, words if option == "--words" else SPOKEN)
    if option == "--words" and file.startswith("whisper"):
        assert (outcome.status, outcome.err) == (1, [])
    else:
        _assert_refused(outcome, folder / file, fault, "; copy", "again")


def test_no_take_is_begun_without_its_models(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A practice that cannot hear leaves nothing behind."""
    folder = _linked_models(tmp_path / "models")
    (folder / "whisper-base-int8" / "model.bin").unlink()
    monkeypatch.setenv(ENVIRONMENT, str(folder))
    outcome = run("practise", PROCEDURE, "--takes", tmp_path / "takes")
    _assert_refused(outcome, folder / "whisper-base-int8" / "model.bin", "missing", "copy")
    assert not (tmp_path / "takes").exists()


# --- recordings, words files, takes ------------------------------------------------------------


def _text(path: Path) -> None:
    path.write_text("Open the flap and pull the spring pin", encoding="utf-8")


def _no_samples(path: Path) -> None:
    soundfile.write(path, np.zeros(0, np.float32), RATE)


def _cut_short(path: Path) -> None:
    path.write_bytes(SPOKEN.read_bytes()[: SPOKEN.stat().st_size // 2])


def _no_number(path: Path) -> None:
    sound = np.zeros(RATE, np.float32)
    sound[RATE // 2] = np.nan
    soundfile.write(path, sound, RATE, subtype="FLOAT")


def _header_less(path: Path) -> None:
    path.mkdir()
    (path / "take.jsonl").touch()


def _holding(content: str) -> Callable[[Path], object]:
    return lambda path: path.write_bytes(content.encode("latin-1"))


# What is judged: its option and name, how it is made, and what is said after its path.
INPUTS: dict[str, tuple[str, str, Callable[[Path], object], tuple[str, ...]]] = {
    "text-as-wav": ("--audio", "a.wav", _text, ("not a sound file", "; convert it")),
    "no-bytes": ("--audio", "a.wav", Path.touch, ("the file is empty", "; record it again")),
    "no-samples": ("--audio", "a.wav", _no_samples, ("recording is empty", "; record it again")),
    "cut-short": ("--audio", "a.flac", _cut_short, ("damaged", "breaks off at", "; copy or")),
    "no-number": ("--audio", "a.wav", _no_number, ("at 0.500 s is not a number", "; export")),
    "no-recording": ("--audio", "a.wav", lambda _path: None, ("no such file", "; check the path")),
    "folder": ("--audio", "a.wav", Path.mkdir, ("a folder", "; name a sound file")),
    "no-json": ("--words", "a.jsonl", _holding(GOOD_LINE + "Open"), (":2: not a JSON", "; write")),
    "no-text": ("--words", "a.jsonl", _holding('{"start": 1}'), (":1: text: missing", "; write")),
    "backwards": (
        "--words",
        "a.jsonl",
        _holding('{"text": "Open", "start": 3, "end": 2}'),
        (":1: end: before start", "; give both"),
    ),
    "nan": (
        "--words",
        "a.jsonl",
        _holding('{"text": "Open", "start": NaN}'),
        (":1: start: not a time", "; give seconds"),
    ),
    "no-words": ("--words", "a.jsonl", Path.touch, ("no utterance", "; write one")),
    "latin-1": ("--words", "a.jsonl", _holding('{"text": "\xe9"}'), ("not UTF-8", "; save it")),
    "no-words-file": ("--words", "a.jsonl", lambda _path: None, ("cannot be read", "; check")),
    "no-take": ("--take", "a", Path.mkdir, ("take.jsonl: cannot be read", "; is this a take?")),
    "take-is-a-file": ("--take", "a", Path.touch, ("take.jsonl: cannot be read", "; is this")),
    "torn-take": (
        "--take",
        "a",
        _header_less,
        ("take.jsonl:1: the header is missing", "; nothing of this take"),
    ),
}


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("name", INPUTS)
def test_an_input_that_cannot_be_judged_is_named(run: Run, tmp_path: Path, name: str) -> None:
    """The file and what is wrong with it in one line; no page, no change."""
    option, file, make, parts = INPUTS[name]
    path = tmp_path / file
    make(path)
    before = _everything(tmp_path)
    procedure = () if option == "--take" else (PROCEDURE,)
    pages = ("--pages", tmp_path / "pages")
    _assert_refused(run("score", *procedure, option, path, *pages), path, *parts)
    assert _everything(tmp_path) == before


@pytest.mark.parametrize(
    ("argv", "fault", "mend"),
    [
        ((PROCEDURE,), "nothing to judge", "add --audio, --words or --take"),
        ((), "nothing to judge", "add --audio, --words or --take"),
        (("--words", "any.jsonl"), "no procedure named", "give its file or id"),
        ((PROCEDURE, "--take", "any"), "a take has its own procedure", "leave PROCEDURE out"),
    ],
)
def test_scoring_without_all_it_needs_says_what_to_add(
    run: Run, argv: tuple[str | Path, ...], fault: str, mend: str
) -> None:
    """Before any model is loaded or file opened."""
    _assert_refused(run("score", *argv), f"score: {fault}", mend)


@pytest.mark.usefixtures("quick")
def test_inputs_beside_a_bad_one_are_judged_in_the_order_typed(run: Run, tmp_path: Path) -> None:
    """One JSON line for each: verdicts for what can be used, the error for what cannot."""
    good, bad = tmp_path / "good.jsonl", tmp_path / "bad.jsonl"
    good.write_text(GOOD_LINE, encoding="utf-8")
    bad.write_text(GOOD_LINE + "{", encoding="utf-8")
    silence, missing = tmp_path / "silence.wav", tmp_path / "missing.wav"
    soundfile.write(silence, np.zeros(RATE, np.float32), RATE)
    argv = ("--audio", missing, silence, "--words", bad, good, "--audio", missing, silence)
    outcome = run("score", PROCEDURE, *argv, "--json")
    rows = [json.loads(line) for line in outcome.out]
    assert [row["file"] for row in rows] == [
        str(path) for path in (missing, silence, bad, good, missing, silence)
    ]
    assert [at for at, row in enumerate(rows) if set(row) == {"file", "error"}] == [0, 2, 4]
    assert [step["verdict"] for step in rows[3]["steps"]] == ["said", *["not_said"] * 4]
    assert outcome.status == 2
    assert outcome.err == [f"rehearse: {row['error']}" for row in rows if "error" in row]


@pytest.mark.usefixtures("quick")
def test_pages_that_cannot_be_written_are_named(run: Run, tmp_path: Path) -> None:
    """A file where the folder should be, and a folder where the page should be."""
    words, taken, pages = tmp_path / "good.jsonl", tmp_path / "taken", tmp_path / "pages"
    words.write_text(GOOD_LINE, encoding="utf-8")
    taken.touch()
    (pages / "good.html").mkdir(parents=True)
    for folder, place in ((taken, taken), (pages, pages / "good.html")):
        outcome = run("score", PROCEDURE, "--words", words, "--pages", folder)
        _assert_refused(outcome, place, "; choose another folder")


# --- practising --------------------------------------------------------------------------------


@dataclass
class _Silence:
    """A microphone in a quiet room."""

    device: int | str | None = None
    name: str = "quiet room"

    def chunks(self) -> Generator[Chunk, None, None]:
        yield Chunk(np.zeros(RATE, np.float32), 0.0)


@pytest.mark.usefixtures("quick")
def test_a_file_where_takes_should_go_is_named(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before anything is said, so that nothing said is lost; the file stays as it is."""
    monkeypatch.setattr(studio, "Microphone", _Silence)
    takes = tmp_path / "takes"
    takes.write_text("a list of takes", encoding="utf-8")
    before = _everything(tmp_path)
    for folder in (takes, takes / "mine"):
        outcome = run("practise", PROCEDURE, "--takes", folder)
        _assert_refused(outcome, folder, "a file is in the way; choose another folder")
    assert _everything(tmp_path) == before


def _program(*argv: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "rehearse", *map(str, argv)],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.parametrize(
    ("options", "fault"),
    [((), "no microphone found"), (("--microphone", "desk"), "no microphone named 'desk'")],
    ids=["default", "named"],
)
def test_without_a_microphone_no_take_is_begun(
    tmp_path: Path, options: tuple[str, ...], fault: str
) -> None:
    """One line and nothing else on the terminal, whatever the sound libraries print."""
    if list(Path("/dev/snd").glob("pcm*c")) and not options:
        pytest.skip("this machine has a microphone of its own")
    takes = tmp_path / "takes"
    ended = _program(
        "practise", PROCEDURE, "--takes", takes, *options,
        HOME=str(tmp_path), PULSE_SERVER=f"unix:{tmp_path / 'nobody'}",
    )  # fmt: skip
    outcome = Outcome(ended.returncode, ended.stdout.splitlines(), ended.stderr.splitlines())
    _assert_refused(outcome, fault, "; plug a microphone in")
    assert not takes.exists()


# --- where an error arose ----------------------------------------------------------------------


@pytest.mark.usefixtures("quick")
def test_debug_shows_where_an_error_arose(run: Run, tmp_path: Path) -> None:
    """The same line and exit status, below the traceback; for one input of several too."""
    missing, good = tmp_path / "none.jsonl", tmp_path / "good.jsonl"
    good.write_text(GOOD_LINE, encoding="utf-8")
    for argv in (
        ("book", "show", tmp_path / "none.yaml"),
        ("score", PROCEDURE, "--words", missing, good, "--json"),
    ):
        plain, debug = run(*argv), run("--debug", *argv)
        assert debug.err[0] == "Traceback (most recent call last):"
        assert debug.err[-1:] == plain.err
        assert (debug.status, debug.out) == (plain.status, plain.out)
        assert plain.status == 2


def test_the_program_itself_ends_with_two_and_one_line(tmp_path: Path) -> None:
    """What a script sees is what the tests above see."""
    ended = _program("book", "show", tmp_path / "none.yaml")
    assert (ended.returncode, ended.stdout, ended.stderr.count("\n")) == (2, "", 1)
