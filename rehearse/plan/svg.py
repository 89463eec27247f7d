"""A drawing as SVG: by itself with a title and the notice, or bare, to be set on a page."""

from __future__ import annotations

from rehearse.paper.letters import legible
from rehearse.paper.template import template
from rehearse.paper.wrapping import wrapped
from rehearse.plan.lettering import LEAD, LETTER, columns, width
from rehearse.plan.marking import badge
from rehearse.plan.shapes import Drawing, Line, Marker, Point, path
from rehearse.safety import NOTICE

_EDGE = 8.0  # millimetres of white about a drawing that stands by itself
_TITLE = 15.0  # millimetres for its title
_SMALL = 2.2


def bare(drawing: Drawing) -> str:
    """Just the drawing."""
    return _rendered(drawing, (0.0, 0.0, drawing.width, drawing.height), ())


def by_itself(drawing: Drawing, title: str, subtitle: str) -> str:
    """The drawing with what it shows and of which revision above, the notice below."""
    most = drawing.width / (_SMALL * LETTER)
    below = [*wrapped(legible(NOTICE), most, columns)]
    foot = drawing.height + 2.0
    words = (
        Line(0.0, -_TITLE + 5.5, legible(title), 5.5, "name"),
        *(
            Line(0.0, -_TITLE + 9.5 + at * _SMALL * LEAD, text, _SMALL)
            for at, text in enumerate(wrapped(legible(subtitle), most, columns)[:2])
        ),
        *(
            Line(0.0, foot + (at + 1) * _SMALL * LEAD, text, _SMALL)
            for at, text in enumerate(below)
        ),
    )
    height = _TITLE + foot + len(below) * _SMALL * LEAD + 2 * _EDGE
    return _rendered(drawing, (-_EDGE, -_TITLE - _EDGE, drawing.width + 2 * _EDGE, height), words)


def _rendered(drawing: Drawing, view: tuple[float, ...], words: tuple[Line, ...]) -> str:
    return template("rehearse.plan", "plan.svg.j2").render(
        drawing=drawing,
        view=view,
        words=words,
        path=path,
        badge=badge,
        chevrons=_chevrons,
        width=width,
    )


def _chevrons(marker: Marker) -> list[list[Point]]:
    """What comes out of a door, as arrow heads that point outwards."""
    edge = marker.box.right if marker.side > 0 else marker.box.left
    starts = (edge + marker.side * (0.7 + 1.3 * at) for at in range(marker.slide))
    return [
        [(x, marker.box.y - 1.5), (x + marker.side * 1.2, marker.box.y), (x, marker.box.y + 1.5)]
        for x in starts
    ]
