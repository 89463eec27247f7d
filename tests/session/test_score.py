"""Scoring without a person: the JSON contract, exit statuses, spoken requests, kept takes."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from rehearse.book import reader
from rehearse.cli import main
from rehearse.events import (
    Ended,
    Event,
    Ghost,
    Heard,
    PromptEnded,
    PromptStarted,
    Requested,
    Restarted,
)
from rehearse.judge.assess import Assessor
from rehearse.judge.verdict import Result, Verdict
from rehearse.record.take import SourceKind, Take, TakeWriter
from rehearse.safety import NOTICE
from rehearse.session import engine as models
from rehearse.session import score
from rehearse.session.score import Scorer

ROOT = Path(__file__).parents[2]
PROCEDURE = ROOT / "procedures" / "tarn-240" / "arm-door-2l.yaml"
EXAMPLES = ROOT / "examples"
COMPLETE = EXAMPLES / "1-complete.flac"
MISTAKES = EXAMPLES / "2-three-mistakes.flac"
NOISE = EXAMPLES / "3-cabin-noise.flac"

FLAP = "Open the flap and pull the spring pin"
DRUM = "Turn the mode drum a quarter turn towards the hinge to armed"
PIN = "Let the spring pin snap home and close the flap"
PANES = "Check both witness panes show the amber band and the sill lamp is lit"
CALL = "Door two left armed and cross-checked"
ALL = (FLAP, DRUM, PIN, PANES, CALL)

Row = dict[str, Any]
Say = Callable[..., Row]


@dataclass(frozen=True)
class Scored:
    """What one `rehearse score --json` left."""

    status: int
    rows: list[Row]


def _scored(*argv: str | Path) -> Scored:
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        status = main(["score", *map(str, argv), "--json"])
    return Scored(status, [json.loads(line) for line in printed.getvalue().splitlines()])


def _verdicts(row: Row) -> dict[str, str]:
    return {step["id"]: step["verdict"] for step in row["steps"]}


@pytest.fixture(scope="module", autouse=True)
def engine() -> Iterator[models.Engine]:
    """The models, loaded once for all tests here."""
    loaded = models.load_engine("en")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(score, "load_engine", lambda _language: loaded)
        patch.setattr(score, "load_readers", lambda: loaded.readers)
        yield loaded


@pytest.fixture(scope="module")
def examples(engine: models.Engine) -> dict[Path, Scored]:  # noqa: ARG001  (it is loaded first)
    """The shipped recordings, each scored by itself."""
    return {path: _scored(PROCEDURE, "--audio", path) for path in (COMPLETE, MISTAKES, NOISE)}


@pytest.fixture
def say(tmp_path: Path) -> Say:
    """Scores utterances from a words file; the only row."""

    def said(*texts: str) -> Row:
        path = tmp_path / "words.jsonl"
        path.write_text("\n".join(json.dumps({"text": text}) for text in texts), encoding="utf-8")
        (row,) = _scored(PROCEDURE, "--words", path).rows
        return row

    return said


# --- the contract ------------------------------------------------------------------------------

CONTRACT = {"file", "procedure", "revision", "passed", "steps", "extras", "heard", "timing"}
OF_A_STEP = {"id", "verdict", "probability", "heard", "start", "end", "why"}
OF_AN_EXTRA = {"heard", "dangerous", "why"}
ADDED = {"notice"}
ADDED_TO_A_STEP = {"missing", "corrected"}
ADDED_TO_AN_EXTRA = {"start", "end"}


def test_verdicts_are_spelled_as_scripts_expect_them() -> None:
    """The six spellings are a contract."""
    assert {verdict.value for verdict in Verdict} == {
        "said", "incomplete", "wrong", "out_of_order", "not_said", "unclear",
    }  # fmt: skip


def test_every_promised_key_is_there_and_every_other_is_known(
    examples: dict[Path, Scored],
) -> None:
    """Keys may be added on purpose, here; none may vanish or slip in."""
    for path, scored in examples.items():
        (row,) = scored.rows
        assert row.keys() == CONTRACT | ADDED
        assert (row["file"], row["procedure"], row["revision"]) == (str(path), "arm-door-2l", 3)
        assert row["notice"] == NOTICE
        assert [step["id"] for step in row["steps"]] == ["flap", "drum", "pin", "panes", "call"]
        assert all(step.keys() == OF_A_STEP | ADDED_TO_A_STEP for step in row["steps"])
        assert all(extra.keys() == OF_AN_EXTRA | ADDED_TO_AN_EXTRA for extra in row["extras"])
        assert all(heard.keys() == {"text", "start", "end"} for heard in row["heard"])


def test_values_are_of_the_promised_kinds(examples: dict[Path, Scored]) -> None:
    """Probabilities are shares, times run forward within the take, reasons are sentences."""
    for scored in examples.values():
        (row,) = scored.rows
        assert isinstance(row["passed"], bool)
        for step in row["steps"]:
            assert step["verdict"] in {verdict.value for verdict in Verdict}
            assert 0 <= step["probability"] <= 1
            assert step["why"].endswith((".", "!", "?"))
            if step["verdict"] == "not_said":
                assert (step["heard"], step["start"], step["end"]) == ("", None, None)
            else:
                assert step["heard"]
                assert 0 <= step["start"] < step["end"] < 30


def test_files_that_cannot_be_used_are_rows_of_file_and_error(tmp_path: Path) -> None:
    """Exit status 2 outranks 1, and the others are judged all the same."""
    missing = tmp_path / "none.flac"
    scored = _scored(PROCEDURE, "--audio", missing, NOISE)
    assert scored.status == 2
    assert scored.rows[0].keys() == {"file", "error"}
    assert scored.rows[0]["file"] == str(missing)
    assert scored.rows[1].keys() == CONTRACT | ADDED


# --- the shipped recordings --------------------------------------------------------------------


def test_the_complete_take_passes(examples: dict[Path, Scored]) -> None:
    """Every step said in fair words of the speaker's own: exit status 0."""
    scored = examples[COMPLETE]
    (row,) = scored.rows
    assert scored.status == 0
    assert row["passed"] is True
    assert set(_verdicts(row).values()) == {"said"}
    assert row["extras"] == []
    assert len(row["heard"]) == 5


def test_the_take_with_three_mistakes_has_exactly_these(examples: dict[Path, Scored]) -> None:
    """The drum turned the wrong way, the pin left out, the wrong side called: exit status 1."""
    scored = examples[MISTAKES]
    (row,) = scored.rows
    assert scored.status == 1
    assert row["passed"] is False
    assert _verdicts(row) == {
        "flap": "said", "drum": "wrong", "pin": "not_said", "panes": "said", "call": "wrong",
    }  # fmt: skip
    why = {step["id"]: step["why"] for step in row["steps"]}
    assert "disarmed" in why["drum"]
    assert "two right" in why["call"]
    assert PIN in why["pin"]


def test_nothing_is_heard_or_credited_in_cabin_noise(examples: dict[Path, Scored]) -> None:
    """No sentence nobody said, no step, no extra: exit status 1."""
    scored = examples[NOISE]
    (row,) = scored.rows
    assert scored.status == 1
    assert set(_verdicts(row).values()) == {"not_said"}
    assert all(step["probability"] == 0 for step in row["steps"])
    assert (row["heard"], row["extras"]) == ([], [])
    assert row["timing"]["words"] == 0
    assert row["timing"]["first_word"] is None


def test_together_they_give_the_same_lines_in_the_order_typed(
    examples: dict[Path, Scored],
) -> None:
    """What one take holds leaves no trace in the next."""
    order = (NOISE, MISTAKES, COMPLETE)
    scored = _scored(PROCEDURE, "--audio", *order)
    assert scored.status == 1
    assert scored.rows == [examples[path].rows[0] for path in order]


# --- words and requests ------------------------------------------------------------------------


def test_words_need_no_sound(say: Say) -> None:
    """The canonical sentences pass; the times are those that an ordinary pace gives."""
    row = say(*ALL)
    assert row["passed"] is True
    assert [heard["text"] for heard in row["heard"]] == list(ALL)


def test_a_spoken_request_is_no_step_and_no_extra(say: Say) -> None:
    """Asking for help between the steps changes no verdict."""
    plain = say(*ALL)
    asked = say(FLAP, "Give me a hint, please", DRUM, PIN, "Say that again", PANES, CALL)
    assert _verdicts(asked) == _verdicts(plain)
    assert asked["extras"] == []
    assert [step["heard"] for step in asked["steps"]] == [step["heard"] for step in plain["steps"]]


def test_a_request_never_reaches_the_judge(tmp_path: Path) -> None:
    """It is kept as what it is, so that a log of the take shows who asked for what, and when."""
    path = tmp_path / "words.jsonl"
    lines = [{"text": FLAP, "end": 2}, {"text": "Give me a hint, please", "start": 3, "end": 4.5}]
    path.write_text("\n".join(map(json.dumps, lines)), encoding="utf-8")
    report = Scorer(reader.read(PROCEDURE), with_sound=False).report("words", path)
    assert report.events == (
        Heard(0.0, 2.0, FLAP),
        Requested(4.5, "hint", "Give me a hint, please"),
        Ended(4.5, "end of recording"),
    )


def test_a_request_does_not_stand_for_the_step_asked_for(say: Say) -> None:
    """A step that was skipped is not said."""
    row = say(FLAP, "Skip this step", PIN, PANES, CALL)
    assert _verdicts(row)["drum"] == "not_said"
    assert row["passed"] is False


def test_starting_over_forgets_what_was_said_before(say: Say) -> None:
    """Neither a credit nor a mistake survives it."""
    assert say(*ALL)["passed"] is True
    row = say(*ALL, "Start over", FLAP)
    assert _verdicts(row) == {"flap": "said"} | dict.fromkeys(
        ("drum", "pin", "panes", "call"), "not_said"
    )
    row = say("Turn the mode drum away from the hinge to disarmed", "Start over, please", *ALL)
    assert row["passed"] is True
    assert row["extras"] == []
    assert not any(step["corrected"] for step in row["steps"])


# --- kept takes --------------------------------------------------------------------------------


def _keep(
    folder: Path, events: Sequence[Event], procedure: Path = PROCEDURE, kind: SourceKind = "words"
) -> Path:
    with TakeWriter.create(
        folder,
        reader.read(procedure),
        started=datetime(2026, 10, 1, 10, 15, tzinfo=UTC),
        help_level="steady",
        source=kind,
        keep_sound=False,
    ) as writer:
        for event in events:
            writer.write(event)
    return writer.folder


def _judged(engine: models.Engine, events: Sequence[Event]) -> Result:
    assessor: Assessor = engine.assessor(reader.read(PROCEDURE))
    for event in events:
        if isinstance(event, Heard):
            assessor.add(event)
        elif isinstance(event, Restarted):
            assessor.restart()
    return assessor.result()


def test_a_kept_take_of_a_recording_is_judged_as_it_was(
    tmp_path: Path, engine: models.Engine, examples: dict[Path, Scored]
) -> None:
    """The log alone, with the evidence of the sound in it, gives the same verdicts to the digit."""
    procedure = reader.read(PROCEDURE)
    report = Scorer(procedure, with_sound=True).report("audio", MISTAKES)
    folder = _keep(tmp_path, report.events, kind="recording")
    again = Scorer(None, with_sound=False).report("take", folder)
    assert again.result == report.result == _judged(engine, report.events)
    assert Take.open(folder).events == report.events
    scored = _scored("--take", folder)
    assert scored.status == 1
    assert scored.rows == [{**examples[MISTAKES].rows[0], "file": str(folder)}]


def test_a_kept_practice_is_judged_by_what_the_trainee_said_since_the_last_start(
    tmp_path: Path, engine: models.Engine
) -> None:
    """Prompts, requests and noises in the log are not taken for the trainee's steps."""
    events: tuple[Event, ...] = (
        Heard(1.0, 3.0, "Turn the mode drum away from the hinge to disarmed"),
        Requested(4.0, "over", "start over"),
        Restarted(4.1),
        PromptStarted(4.5, CALL, "hint"),
        PromptEnded(6.0),
        Heard(7.0, 9.0, FLAP),
        Requested(10.0, "hint", "give me a hint"),
        Ghost(10.5, 11.0, PIN, "nobody spoke there"),
        Heard(11.0, 13.0, DRUM),
        Heard(14.0, 16.0, PANES),
        Ended(17.0, "stopped"),
    )
    folder = _keep(tmp_path, events, kind="microphone")
    result = Scorer(None, with_sound=False).report("take", folder).result
    assert result == _judged(engine, events)
    assert {step.id: step.verdict.value for step in result.steps} == {
        "flap": "said", "drum": "said", "pin": "not_said", "panes": "said", "call": "not_said",
    }  # fmt: skip
    assert result.extras == ()


def test_a_kept_take_is_judged_by_the_procedure_as_it_was(tmp_path: Path) -> None:
    """A later revision of the file changes nothing for takes made before it."""
    text = PROCEDURE.read_text("utf-8")
    older = tmp_path / "older.yaml"
    older.write_text(text.replace("number: 3", "number: 2").replace("two left", "two right"))
    folder = _keep(
        tmp_path / "takes",
        (Heard(0.0, 2.0, CALL.replace("left", "right")), Ended(2.0, "stopped")),
        older,
    )
    older.write_text(text, encoding="utf-8")
    (row,) = _scored("--take", folder).rows
    assert row["revision"] == 2
    assert _verdicts(row)["call"] == "said"


# --- pages -------------------------------------------------------------------------------------


def test_inputs_of_one_name_get_pages_of_their_own(tmp_path: Path) -> None:
    """A page for each, whatever a words file is called, and running it again replaces them."""
    paths = [tmp_path / "a" / "take.txt", tmp_path / "b" / "take.jsonl"]
    for path, text in zip(paths, (FLAP, CALL), strict=True):
        path.parent.mkdir()
        path.write_text(json.dumps({"text": text}), encoding="utf-8")
    pages = tmp_path / "pages"
    for _ in range(2):
        assert _scored(PROCEDURE, "--words", *paths, "--pages", pages).status == 1
        assert sorted(page.name for page in pages.iterdir()) == ["take-2.html", "take.html"]
    assert f"You said: {FLAP}" in (pages / "take.html").read_text("utf-8")
    assert f"You said: {CALL}" in (pages / "take-2.html").read_text("utf-8")
