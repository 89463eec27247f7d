"""The texts beside a drill's time axis: their lines, how much room they take, where they stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rehearse.drill.shown.axis import Axis, axis, beside
from rehearse.drill.shown.sheet import LEAD, OF_KIND, RIGHT, SIZES, Mark, lines
from rehearse.drill.shown.track import Item, Sort
from rehearse.paper.lettering import Words

LEFT = 151.0  # where the texts begin
_GAP = 3.0  # between two texts
_LEVEL = 40.0  # units that a level takes at the right end
_ICON = 18.0
_PAD = 4.0  # above and below the text of a cue, in its box
_SCALES = range(10, 32, 2)  # units a second; the first that leaves texts near their moment
_NEAR = 7.0  # units, on average


@dataclass(frozen=True)
class Caption:
    """The text about an item.

    main: its lines. notes: further lines. level: stands at the right end of the first.
    top: where it stands.
    """

    item: Item
    main: tuple[str, ...]
    notes: tuple[str, ...] = ()
    level: str = ""
    top: float = 0.0

    @property
    def cue(self) -> bool:
        """It stands in a box."""
        return self.item.sort is Sort.CUE

    @property
    def kind(self) -> str:
        """The letters it is written in."""
        if self.item.sort in {Sort.CUE, Sort.SHOUT}:
            return self.item.sort.value
        return "fault" if self.item.broken else "quiet"

    @property
    def height(self) -> float:
        """Without the gap to the next."""
        pad = 2 * _PAD if self.cue else 0.0
        notes = len(self.notes) * SIZES["quiet"]
        return pad + LEAD * (len(self.main) * SIZES[self.kind] + notes)

    @property
    def first(self) -> float:
        """From the top to the middle of the first line."""
        return (_PAD if self.cue else 0.0) + SIZES[self.kind] * LEAD / 2

    @property
    def mark(self) -> Mark | None:
        """What a shout was, as a small drawing."""
        name = OF_KIND[self.item.shout.kind] if self.item.shout else ""
        return Mark(LEFT, self.top + self.first - 7, name) if name else None

    def words(self) -> Iterator[Words]:
        """Its lines where they stand."""
        lead, y = SIZES[self.kind] * LEAD, self.top - 0.3 * SIZES[self.kind]
        x = LEFT
        if self.cue:
            x, y = x + 5.0, y + _PAD
        elif self.item.shout:
            x += _ICON
        if self.level:
            yield Words(RIGHT, y + lead, self.level, "quiet end")
        for text in self.main:
            y += lead
            yield Words(x, y, text, self.kind)
        for text in self.notes:
            y += SIZES["quiet"] * LEAD
            yield Words(x, y, text, "quiet")


def captions(
    items: Sequence[Item], top: float, *, over_calm: bool
) -> tuple[Axis, tuple[Caption, ...]]:
    """An axis from `top` on, long enough for the texts to stand near their moments, and the texts.

    over_calm: levels are over the calm voice, not over full scale.
    """
    made = [_caption(item, over_calm=over_calm) for item in items]
    heights = [caption.height + _GAP for caption in made]
    spans = [(item.start, item.end) for item in items] + [(item.at, item.at) for item in items]
    along, tops = axis(spans, top, _SCALES[0]), [top]
    for scale in _SCALES:
        along = axis(spans, top, scale)
        wanted = [along.y(one.item.at) - one.first for one in made]
        tops = beside(wanted, heights)
        moved = sum(abs(one - other) for one, other in zip(wanted, tops, strict=True))
        if moved <= _NEAR * len(made):
            break
    # The first text may stand above its moment; nothing may stand above `top`.
    down = max(0.0, top - min(tops, default=top))
    placed = (replace(one, top=at + down) for one, at in zip(made, tops, strict=True))
    return axis(spans, top + down, scale), tuple(placed)


def _caption(item: Item, *, over_calm: bool) -> Caption:
    kind, width = Caption(item, ()).kind, RIGHT - LEFT
    if item.sort is Sort.CUE:
        return Caption(item, tuple(lines(item.text, kind, width - 10)))
    if item.shout is None:
        text = f"{item.text}: no" if item.broken else item.text
        return Caption(item, tuple(lines(text, kind, width)))
    notes = [line for note in item.notes for line in lines(note, "quiet", width - _ICON)]
    main = lines(item.text, kind, width - _ICON - _LEVEL)
    level = item.shout.level.value
    sign = "+" if over_calm else ""
    told = "no level" if level is None else f"{round(level):{sign}d} dB"
    return Caption(item, tuple(main), tuple(notes), told)
