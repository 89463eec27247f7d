from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.events import Event, Ghost, Heard, Overflow, Restarted
from rehearse.hear.recogniser import Sound
from rehearse.record.picture import NARROW, WIDE, Row, Sheet
from rehearse.record.report import Report
from rehearse.record.scene import scene
from rehearse.record.timeline import stretches, timeline
from rehearse.record.waveform import Waveform, waveform


def rows(report: Report, wave: Waveform | None = None, sheet: Sheet = WIDE) -> tuple[Row, ...]:
    """The rows of the report's picture."""
    return timeline(scene(report, wave.duration if wave else 0.0), wave, sheet).rows


def heard_in(drawn: tuple[Row, ...]) -> list[str]:
    """All words of the picture in reading order."""
    return [word.text for row in drawn for word in sorted(row.words, key=lambda w: (w.y, w.x))]


@pytest.mark.parametrize("sheet", [WIDE, NARROW])
def test_everything_is_drawn_once(report: Report, sheet: Sheet) -> None:
    """Every word, prompt, ghost and mark of the take is in the picture, whatever its width."""
    drawn = rows(report, sheet=sheet)
    words = heard_in(drawn)
    for word in ("flap", "disarmed", "cross-checked", "(thanks for watching)"):
        assert words.count(word) == 1
    told = " ".join(line for row in drawn for bubble in row.bubbles for line in bubble.lines)
    assert told == ("Arm door two left. Begin. Not disarmed: the drum goes to armed. (cut short)")
    labels = [bar.text for row in drawn for bar in row.bars]
    assert {"1 said", "2 wrong", "3 incomplete", "5 unclear", "dangerous"} <= set(labels)
    assert labels.count("asked: hint") == 1
    assert not any("4" in label for label in labels)
    assert sum(len(row.ghosts) for row in drawn) == 1


@pytest.mark.parametrize("sheet", [WIDE, NARROW])
def test_all_shapes_lie_within_their_row(report: Report, sheet: Sheet, speechlike: Sound) -> None:
    """Nothing sticks out of the picture, and lanes do not run into each other."""
    for row in rows(report, waveform([speechlike]), sheet):
        for bar in row.bars:
            assert 0 <= bar.x <= bar.x + bar.width <= sheet.width + 0.1
            assert 0 <= bar.y < row.top
        for word in row.words:
            assert 0 <= word.x < sheet.width
            assert row.bottom < word.y < row.axis
        for bubble in row.bubbles:
            assert bubble.x >= 0
            assert bubble.x + bubble.width <= sheet.width + 0.1
            assert row.bottom < bubble.y
            assert bubble.y + bubble.height <= row.axis
            assert all(word.y < bubble.y + 4 for word in row.words)
        for x, y in re.findall(r"([\d.]+) ([\d.]+)", row.wave):
            assert row.left - 0.1 <= float(x) <= row.right + 0.1
            assert row.top - 0.1 <= float(y) <= row.bottom + 0.1
        assert row.axis < row.height


def test_bars_stand_over_their_words(report: Report) -> None:
    """A verdict's bar begins and ends with the words it rests on."""
    drawn = rows(report)
    row = next(row for row in drawn if any(bar.text == "1 said" for bar in row.bars))
    bar = next(bar for bar in row.bars if bar.text == "1 said")
    speech = min(row.speeches, key=lambda band: abs(band.x - bar.x))
    assert (bar.x, bar.width) == pytest.approx((speech.x, speech.width))


@given(
    spans=st.lists(st.tuples(st.floats(0, 300), st.floats(0.1, 12)), max_size=12),
    seconds=st.floats(3, 20),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_rows_cover_the_take(
    report: Report, spans: list[tuple[float, float]], seconds: float
) -> None:
    """Rows follow each other without gap or overlap, none too long, quiet ones really quiet."""
    said: tuple[Event, ...] = tuple(Heard(start, start + long, "a b") for start, long in spans)
    shown = scene(replace(report, events=said, result=replace(report.result, extras=())), 0.0)
    shown = replace(shown, judgements=())
    found = stretches(shown, seconds)
    assert found[0][0] == 0.0
    assert found[-1][1] == max(shown.end, 1.0)
    for before, after in pairwise(found):
        assert before[1] == after[0]
    for start, end, quiet in found:
        assert end > start
        if quiet:
            assert not any(s.start < end and s.end > start for s in shown.speeches)
        else:
            assert end - start <= seconds + 1e-6


def test_rows_end_between_sentences(report: Report) -> None:
    """A row ends early rather than in the middle of a sentence that would fit the next one."""
    said: tuple[Event, ...] = tuple(
        Heard(start, start + 3.0, "one two three") for start in (0.5, 4.0, 7.5, 11.0)
    )
    shown = replace(scene(replace(report, events=said), 0.0), judgements=())
    cuts = [end for _, end, _ in stretches(shown, 9.5)][:-1]
    assert cuts
    assert not any(s.start < cut < s.end for cut in cuts for s in shown.speeches)


def test_long_silence_is_one_thin_row(report: Report) -> None:
    """Ten minutes without a word take one thin row that says how long it was."""
    said: tuple[Event, ...] = (Heard(1.0, 3.0, "a"), Heard(603.0, 605.0, "b"))
    shown = replace(scene(replace(report, events=said), 0.0), judgements=())
    drawn = timeline(shown, None, WIDE).rows
    quiet = [row for row in drawn if row.quiet]
    assert len(drawn) == 3
    assert len(quiet) == 1
    assert "0:04.0 to 10:02.0: 9 min 58 s without a word" in quiet[0].title
    assert quiet[0].height < min(row.height for row in drawn if not row.quiet)


def test_ticks_are_round_and_apart(report: Report) -> None:
    """The axis carries whole seconds, with room between the texts."""
    for sheet in (WIDE, NARROW):
        for row in rows(report, sheet=sheet):
            written = [tick for tick in row.ticks if tick.text]
            assert written or row.end - row.start < 1.5
            assert all(re.fullmatch(r"\d+:\d\d", tick.text) for tick in written)
            assert all(b.x - a.x >= 60 for a, b in pairwise(written))


def test_what_no_longer_counts(report: Report) -> None:
    """Words before a fresh start are drawn as void, and starting over is marked."""
    events = (Heard(1.0, 2.0, "wrong"), Restarted(3.0), Heard(4.0, 5.0, "right"))
    (row,) = rows(
        replace(
            report,
            events=events,
            result=replace(report.result, steps=(), extras=()),
            procedure=replace(report.procedure, steps=()),
        )
    )
    assert [(word.text, word.kind) for word in row.words] == [("wrong", "void"), ("right", "")]
    assert [band.kind for band in row.speeches] == ["void", ""]
    assert [bar.text for bar in row.bars] == ["started over"]


def test_lost_sound_is_marked(report: Report) -> None:
    """Where the device lost samples, a mark says how much."""
    drawn = rows(replace(report, events=(*report.events, Overflow(19.0, 0.25))))
    assert "0.25 s of sound lost" in [bar.text for row in drawn for bar in row.bars]


def test_a_calm_voice_still_shows(speechlike: Sound, report: Report) -> None:
    """The loudest sound fills the lane; silence alone does not, however much it is."""

    def height(wave: Waveform) -> float:
        row = rows(replace(report, events=()), wave)[0]
        ys = [float(y) for y in re.findall(r" ([\d.]+)", row.wave)]
        return (max(ys) - min(ys)) / (row.bottom - row.top)

    assert height(waveform([speechlike])) > 0.95
    assert height(waveform([speechlike * 0.1])) > 0.95
    assert height(waveform([speechlike * 0.0005])) < 0.2


def test_told_to_those_who_cannot_see(report: Report) -> None:
    """Each row has its words, verdicts and prompts as text."""
    told = " ".join(row.told for row in rows(report))
    assert "Heard: I open the flap and pull the pin; then I turn the drum to disarmed." in told
    assert "1 said" in told
    assert "Tool: Arm door two left. Begin. " in told


def test_ghost_alone(report: Report) -> None:
    """A take with nothing but a ghost has a picture, and the ghost in brackets."""
    drawn = rows(replace(report, events=(Ghost(1.0, 2.0, "hello", "silence"),)))
    assert "(hello)" in heard_in(drawn)
