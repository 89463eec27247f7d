"""One row of the timeline picture, laid out from top to bottom. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from rehearse.record import lanes
from rehearse.record.axis import outline, ticks
from rehearse.record.picture import (
    SMALL,
    TEXT,
    Band,
    Bar,
    Bubble,
    Caption,
    Row,
    Scale,
    Sheet,
    Words,
)
from rehearse.record.report import clock
from rehearse.record.scene import Scene, Speech, Spoken, Timed
from rehearse.record.waveform import Waveform

_PAD = 6.0
_BAR_LANE = 28.0  # a label with its bar
_ICON = 17.0  # the drawn mark before a verdict's word
_WAVE = 56.0
_QUIET_WAVE = 18.0
_WORD_LANE = 18.0
_SLACK = 48.0  # how far right of its moment a word may stand to stay on its line
_LINE = 15.0
_BUBBLE_LEAST = 84.0
_BUBBLE_PAD = 5.0
_AXIS = 22.0
_APART = 10.0  # between labels in one lane
_LEAST_BAR = 6.0
_LEAST_SILENCE = 16.0

MARK = "mark"
GHOST = "ghost"
VOID = "void"


def row(shown: Scene, wave: Waveform | None, gain: float, sheet: Sheet, scale: Scale) -> Row:
    """A row in which something happens; `gain` makes the loudest sound fill the wave."""
    bars, over = _bars(shown, scale, sheet.width)
    top = _PAD + over
    bottom = top + _WAVE
    words, words_height = _words(shown, scale, sheet.width, bottom + 6)
    below = bottom + 6 + words_height
    bubbles, bubbles_height = _bubbles(shown, scale, sheet.width, below + 2)
    axis = below + bubbles_height + _PAD
    return Row(
        start=scale.start,
        end=scale.end,
        quiet=False,
        title=f"{clock(scale.start)} to {clock(scale.end)}",
        told=_told(shown, scale),
        height=axis + _AXIS,
        left=scale.left,
        right=scale.right,
        top=top,
        bottom=bottom,
        axis=axis,
        wave=outline(wave, gain, scale, (top + bottom) / 2, _WAVE / 2),
        bars=tuple(_moved(bar, top) for bar in bars),
        speeches=tuple(
            _band(scale, speech.start, speech.end, kind="" if speech.counts else VOID)
            for speech in shown.speeches
            if scale.meets(speech.start, speech.end)
        ),
        ghosts=tuple(
            _band(scale, ghost.start, ghost.end)
            for ghost in shown.ghosts
            if scale.meets(ghost.start, ghost.end)
        ),
        silences=_silences(shown, scale),
        words=words,
        bubbles=bubbles,
        ticks=ticks(scale),
        captions=_captions(
            sheet,
            {
                "steps": top - _BAR_LANE + 12 if bars else None,
                "sound": (top + bottom) / 2 + 4,
                "heard": bottom + _WORD_LANE + 2 if words else None,
                "tool": below + _BUBBLE_PAD + 13 if bubbles else None,
            },
        ),
    )


def quiet_row(wave: Waveform | None, gain: float, scale: Scale) -> Row:
    """A thin row for a long stretch in which nothing happened."""
    bottom = _PAD + _QUIET_WAVE
    lasted = round(scale.end - scale.start)
    minutes, seconds = divmod(lasted, 60)
    long = f"{minutes} min {seconds:02d} s" if minutes else f"{seconds} s"
    title = f"{clock(scale.start)} to {clock(scale.end)}: {long} without a word"
    return Row(
        start=scale.start,
        end=scale.end,
        quiet=True,
        title=title,
        told=title,
        height=bottom + _AXIS,
        left=scale.left,
        right=scale.right,
        top=_PAD,
        bottom=bottom,
        axis=bottom,
        wave=outline(wave, gain, scale, _PAD + _QUIET_WAVE / 2, _QUIET_WAVE / 2),
    )


def _bars(shown: Scene, scale: Scale, right: float) -> tuple[tuple[Bar, ...], float]:
    """Verdicts and marks above the wave, and the height they take. Their `y` is still a lane."""
    wanted = [
        (j.start, j.end, j.text, j.kind, j.detail)
        for j in shown.judgements
        if scale.meets(j.start, j.end)
    ]
    wanted += [
        (mark.start, mark.end, mark.text, MARK, f"{mark.text}, at {clock(mark.start)}")
        for mark in shown.marks
        if scale.begins(mark.start)
    ]
    wanted.sort(key=lambda item: item[0])
    labels = []
    for start, end, text, kind, _ in wanted:
        icon = 4.0 if kind == MARK else _ICON
        width = max(scale.x(end) - scale.x(start), icon + lanes.text_width(text, SMALL))
        labels.append(lanes.Label(scale.x(start), width))
    placed = lanes.place(labels, right, _APART)
    bars = tuple(
        Bar(
            x=min(scale.x(start), scale.right - _LEAST_BAR),
            width=0.0 if kind == MARK else max(scale.x(end) - scale.x(start), _LEAST_BAR),
            label=spot.x,
            y=float(spot.lane),
            text=text,
            kind=kind,
            detail=detail,
        )
        for (start, end, text, kind, detail), spot in zip(wanted, placed, strict=True)
    )
    return bars, _BAR_LANE * (1 + max((spot.lane for spot in placed), default=-1))


def _moved(bar: Bar, top: float) -> Bar:
    """The bar with its lane turned into a place above the wave, lane 0 nearest."""
    y = top - (bar.y + 1) * _BAR_LANE
    return Bar(bar.x, bar.width, bar.label, y, bar.text, bar.kind, bar.detail)


def _words(shown: Scene, scale: Scale, right: float, y: float) -> tuple[tuple[Words, ...], float]:
    """Words under the wave, ghosts among them, and the height they take."""
    groups: list[tuple[str, list[Timed]]] = []
    for speech in shown.speeches:
        if scale.meets(speech.start, speech.end):
            here = [word for word in speech.words if word.text and scale.begins(word.start)]
            groups.append(("" if speech.counts else VOID, here))
    groups += [
        (GHOST, [Timed(ghost.start, ghost.end, f"({ghost.text})")])
        for ghost in shown.ghosts
        if scale.begins(ghost.start)
    ]
    groups = sorted((g for g in groups if g[1]), key=lambda group: group[1][0].start)
    room = right - scale.left
    texts = [[lanes.shorten(word.text, TEXT, room) for word in words] for _, words in groups]
    labels = [
        [
            lanes.Label(scale.x(word.start), lanes.text_width(text, TEXT))
            for word, text in zip(words, line, strict=True)
        ]
        for (_, words), line in zip(groups, texts, strict=True)
    ]
    placed = lanes.flow(labels, right, 0.4 * TEXT, _SLACK)
    found = tuple(
        Words(spot.x, y + (spot.lane + 1) * _WORD_LANE - 4, scale.x(word.start), text, kind)
        for (kind, words), line, spots in zip(groups, texts, placed, strict=True)
        for word, text, spot in zip(words, line, spots, strict=True)
    )
    lowest = max((spot.lane for spots in placed for spot in spots), default=-1)
    return found, _WORD_LANE * (1 + lowest)


def _bubbles(
    shown: Scene, scale: Scale, right: float, y: float
) -> tuple[tuple[Bubble, ...], float]:
    """What the tool said in this row, each word in the row in which it was spoken."""
    boxes: list[tuple[lanes.Label, tuple[str, ...]]] = []
    for prompt in shown.prompts:
        if not scale.meets(prompt.start, prompt.end):
            continue
        words = [word.text for word in prompt.words if scale.begins(word.start)]
        width = max(scale.x(prompt.end) - scale.x(prompt.start), _BUBBLE_LEAST)
        lines = lanes.wrap(words, SMALL, width - 2 * _BUBBLE_PAD)
        boxes.append((lanes.Label(scale.x(prompt.start), width), lines))
    placed = lanes.place([label for label, _ in boxes], right, 2.0)
    heights: dict[int, float] = {}
    for spot, (_, lines) in zip(placed, boxes, strict=True):
        needed = max(len(lines), 1) * _LINE + 2 * _BUBBLE_PAD
        heights[spot.lane] = max(heights.get(spot.lane, 0.0), needed)
    tops = {lane: y + sum(heights[n] + 3 for n in range(lane)) for lane in heights}
    bubbles = tuple(
        Bubble(
            spot.x,
            tops[spot.lane],
            label.width,
            max(len(lines), 1) * _LINE + 2 * _BUBBLE_PAD,
            lines,
        )
        for spot, (label, lines) in zip(placed, boxes, strict=True)
    )
    return bubbles, sum(heights.values()) + 3 * len(heights) + (2 if heights else 0)


def _silences(shown: Scene, scale: Scale) -> tuple[Band, ...]:
    """Silences with their length where there is room to write it; slivers are left out."""
    found = []
    for silence in shown.silences:
        if not scale.meets(silence.start, silence.end):
            continue
        band = _band(scale, silence.start, silence.end)
        fits = lanes.text_width(silence.text, SMALL) + 24 <= band.width
        if band.width >= _LEAST_SILENCE:
            found.append(Band(band.x, band.width, silence.text if fits else ""))
    return tuple(found)


def _band(scale: Scale, start: float, end: float, kind: str = "") -> Band:
    return Band(scale.x(start), max(scale.x(end) - scale.x(start), 1.0), kind=kind)


def _captions(sheet: Sheet, lanes_at: dict[str, float | None]) -> tuple[Caption, ...]:
    """The names of the lanes that this row has."""
    if not sheet.gutter:
        return ()
    return tuple(Caption(y, name) for name, y in lanes_at.items() if y is not None)


def _told(shown: Scene, scale: Scale) -> str:
    """The row in words: verdicts, what was heard, what the tool said."""
    steps = [j.text for j in shown.judgements if scale.meets(j.start, j.end)]
    steps += [mark.text for mark in shown.marks if scale.begins(mark.start)]
    parts = (
        ("Steps", "; ".join(steps)),
        ("Heard", "; ".join(_spoken_here(shown.speeches, scale))),
        ("Tool", " ".join(_spoken_here(shown.prompts, scale))),
    )
    told = [f"{name}: {text}" for name, text in parts if text]
    return " ".join(t if t.endswith((".", "!", "?")) else f"{t}." for t in told) or "No words."


def _spoken_here(sayings: Iterable[Speech | Spoken], scale: Scale) -> list[str]:
    """What falls into this row of each saying."""
    here = [
        " ".join(word.text for word in saying.words if scale.begins(word.start))
        for saying in sayings
        if scale.meets(saying.start, saying.end)
    ]
    return [text for text in here if text]
