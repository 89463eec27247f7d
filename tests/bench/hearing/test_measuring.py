"""What a run of the hearing benchmark does, and what is left to do."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from rehearse.bench.drill_voices import Recorded, Shouter
from rehearse.bench.hearing.measuring import Plan, Unit, measure, results
from rehearse.bench.hearing.pipelines import OURS, Pipeline, present
from rehearse.bench.hearing.rows import TEXT, KeptError
from rehearse.bench.hearing.trials import Trial, pool
from rehearse.book.model import Procedure
from rehearse.errors import ModelError, SoundError

Made = Callable[[str, float], Any]


def a_plan(book: Procedure, voice: Shouter, **changes: Any) -> Plan:  # noqa: ANN401
    """Two pipelines and two conditions for all the book says."""
    whole: Mapping[str, Any] = {
        "voices": [(voice, pool([book]))],
        "procedures": {book.id: book},
        "conditions": ["clean", "echo"],
        "pipelines": [OURS, "other"],
    }
    return Plan(**{**whole, **changes})


def test_every_pipeline_hears_the_same_sound(
    book: Procedure, hummer: Shouter, echoing: Made
) -> None:
    """Pipelines would be compared on different noises."""
    one, two = echoing(OURS, 0.9), echoing("other", 0.2)
    (unit, *_) = a_plan(book, hummer).units({})
    pipelines: Mapping[str, Pipeline] = {OURS: one, "other": two}
    found = results(unit, pipelines)
    assert [(row.condition, row.pipeline) for row in found] == list(unit.asked)
    assert all(mine is theirs for mine, theirs in zip(one.sounds, two.sounds, strict=True))
    clean, echo = one.sounds
    assert len(echo) > len(clean)
    for row in found:
        assert row.seconds == 0.0 if row.condition == TEXT else row.seconds > 1.0
        assert row.exact  # what these pipelines hear is the step as written
        assert row.score == (0.9 if row.pipeline == OURS else 0.2)


def test_a_text_that_is_not_the_step_is_measured_against_itself(
    book: Procedure, hummer: Shouter, echoing: Made
) -> None:
    """A pipeline that hears the step whatever is said would look perfect."""
    trial = Trial(book.id, "drum", "Turn the mode drum to disarmed", "state")
    unit = Unit(trial, book, hummer, (("clean", OURS), (TEXT, OURS)))
    heard, bare = results(unit, {OURS: echoing(OURS, 1.0)})
    assert (heard.exact, [slot.outcome for slot in heard.slots]) == (False, ["turned"])
    assert (bare.exact, [slot.outcome for slot in bare.slots]) == (True, ["right"])


def test_a_run_goes_on_where_it_was_stopped(
    book: Procedure, hummer: Shouter, echoing: Made
) -> None:
    """A stopped run would begin again, or leave out what was half done."""
    plan = a_plan(book, hummer)
    first, second, *rest = plan.units({})
    assert len(rest) == 2
    pipelines = {OURS: echoing(OURS, 1.0), "other": echoing("other", 1.0)}
    half = Unit(second.trial, book, hummer, second.asked[:3])
    done = {row.key: row for unit in (first, half) for row in results(unit, pipelines)}
    left = plan.units(done)
    assert left[0].trial == second.trial
    assert left[0].asked == second.asked[3:]
    assert left[1:] == tuple(rest)


def test_other_pipelines_may_hear_a_share_of_the_texts(hummer: Shouter, book: Procedure) -> None:
    """Slow alternatives could not be kept to a part, or ours would be kept to it too."""
    trials = [Trial(book.id, "drum", f"text {number}", "written") for number in range(200)]
    plan = a_plan(book, hummer, voices=[(hummer, trials)], every=4)
    names = [{name for _, name in unit.asked} for unit in plan.units({})]
    assert all(OURS in asked for asked in names)
    assert sum("other" in asked for asked in names) == pytest.approx(50, abs=20)
    assert plan.units({}) == plan.units({})


def test_a_file_that_cannot_be_written_is_told_first(
    tmp_path: Path, book: Procedure, hummer: Shouter
) -> None:
    """Hours of hearing would be lost for a mistyped folder."""
    units = a_plan(book, hummer).units({})
    with pytest.raises(KeptError, match="cannot be written"):
        next(measure(units, 1, tmp_path / "no" / "kept.jsonl"))


def test_what_fails_in_a_process_is_told_as_it_is(tmp_path: Path, book: Procedure) -> None:
    """A missing clip would hang the run, or end it with a traceback of another process."""
    trial = Trial(book.id, "drum", "Turn the mode drum to armed", "written")
    with pytest.raises(SoundError, match="mute: nobody has said 'Turn the mode drum to armed'"):
        list(measure([Unit(trial, book, Recorded("mute", {}), ())], 1, tmp_path / "kept.jsonl"))


def test_unknown_pipelines_are_told_and_missing_ones_left_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A mistyped name would hear nothing; a package that is not there would end the run."""
    with pytest.raises(ModelError, match=r"pipeline 'whisper big' is not known; known are"):
        present(["whisper big"])
    monkeypatch.setattr("rehearse.bench.hearing.pipelines.find_spec", lambda _name: None)
    monkeypatch.setattr("rehearse.bench.hearing.pipelines.find_model", lambda _language: None)
    names, missing = present(())
    assert names == (OURS, "whisper", "whisper prompt")
    assert missing[0].startswith("whisper tiny is left out: 'pip install")
    assert missing[1].startswith("vosk is left out: 'rehearse models add")


def test_nothing_of_a_sound_device_is_needed() -> None:
    """A machine without PortAudio could not run the benchmark."""
    program = (
        "import sys\n"
        "sys.modules['sounddevice'] = None\n"
        "import rehearse.cli.bench_hear, rehearse.cli\n"
        "from rehearse.bench.hearing import measuring, ours, whispers, openly, fitting, table\n"
        "from rehearse.cli import main\n"
        "sys.exit(main(['bench', 'hear', '--texts', '1', '--lines', 'x']))\n"
    )
    order = [sys.executable, "-c", program]
    done = subprocess.run(order, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert '"voice": "x"' in done.stdout
