"""The tables of the hearing benchmark."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rehearse.bench.hearing.pipelines import OURS
from rehearse.bench.hearing.rows import TEXT, Row
from rehearse.bench.hearing.slots import Slot
from rehearse.bench.hearing.table import lines

MakeRow = Callable[..., Row]


def constructed(row: MakeRow) -> Iterator[Row]:
    """A fit voice and two test voices, two conditions, ours and one alternative."""
    for voice in ("am_adam", "bm_lewis", "zf_xiaoni"):
        for condition in (TEXT, "clean", "noise 5 dB"):
            for number in range(10):
                right = number % 2 == 0
                place = {
                    "voice": voice,
                    "condition": condition,
                    "text": f"text {number}",
                    "kind": "written" if right else "state",
                    "seconds": 0.0 if condition == TEXT else 2.0,
                }
                yield row(**place, verdict="said" if right else "wrong")
                score = 1.0 if right else 0.9 + number / 1000
                yield row(**place, pipeline="whisper", verdict="", score=score, delay=0.8)


def test_a_report_tells_every_condition_and_pipeline(row: MakeRow) -> None:
    """Part of the results would be left out, or not fit on a page."""
    told = list(lines(tuple(constructed(row))))
    assert max(map(len, told)) <= 100
    assert told[0] == "3 voices; figures of the 2 kept for testing, 20 texts"
    heads = [line for line in told if line in ("the text itself, without sound", "clean",
                                               "noise 5 dB")]  # fmt: skip
    assert len(heads) == 3 + 2  # in the first table, and where others are held to our rates
    assert sum(line.startswith(f"  {OURS} ") for line in told) == 3 + 1
    assert sum(line.startswith("  whisper ") for line in told) == 3 + 2 + 1
    assert "native, 1 voices" in told
    assert "not native, 1 voices" in told
    (time,) = (line.split() for line in told if line.startswith("  whisper") and "2.00" in line)
    assert time[1:4] == ["0.80", "0.80", "2.00"]


def test_the_threshold_comes_from_the_other_voices(row: MakeRow) -> None:
    """Alternatives would be fitted on the voices they are tested on, or not at all."""
    rows = [
        r
        if r.voice != "am_adam" or r.pipeline == OURS
        else row(**{**vars(r), "score": r.score / 2})
        for r in constructed(row)
    ]
    told = list(lines(rows))
    assert "whisper credits from a likeness of 0.500, fitted on the other voices" in told


def test_our_faults_are_named(row: MakeRow) -> None:
    """A false credit could not be looked into, or a judge's fault would count as one of hearing."""
    place = {"text": "Turn it", "kind": "state", "verdict": "said"}
    confused = row(condition="echo", heard="Turn", slots=(Slot("turned", "turned", 9.0),))
    told = list(lines([row(**place), row(**place, condition=TEXT, seconds=0.0), confused]))
    assert (
        "  bm_lewis, clean, arm-door-2l drum: 'Turn it' heard as 'Turn the mode drum to armed': "
        "credited, as the bare text is" in told
    )
    assert told[-1].endswith("heard as 'Turn': confused")


def test_without_a_test_voice_there_are_no_figures(row: MakeRow) -> None:
    """Figures of voices that were fitted on would be shown as if they were not."""
    told = list(lines([row(voice="am_adam")]))
    assert told[-1] == "no voice among them is kept for testing: there are no figures"
