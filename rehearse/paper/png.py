"""A drawing as PNG, for screens and pages that show no SVG."""

from __future__ import annotations

from pathlib import Path

import typst

from rehearse.paper import glyphs, letters
from rehearse.paper.typeset import PaperError

DOTS_PER_UNIT = 2.0  # a phone shows two or three dots for each unit of a drawing's width

_LAYOUT = b"""
#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.picture), format: "svg")
"""


def png(picture: str, fonts: tuple[Path, ...] = (), dots_per_unit: float = DOTS_PER_UNIT) -> bytes:
    """An SVG document as PNG, the same bytes for the same drawing and fonts.

    fonts: folders of fonts to try for letters that the typesetter's own fonts lack; a letter that
    none has stands as its Unicode number in square brackets.

    Raises:
        PaperError: it is no SVG that the typesetter can draw.
    """
    used = frozenset(letters.clusters(picture))
    chosen, missing = glyphs.chosen(used, fonts)
    inputs = {"picture": letters.numbered(picture, missing)}
    # An SVG's unit is a pixel of 96 to the inch, a point is one of 72.
    compiler = typst.Compiler(_LAYOUT, font_paths=chosen, sys_inputs=inputs)
    try:
        made = compiler.compile(format="png", ppi=96.0 * dots_per_unit)
    except typst.TypstError as error:
        said = " ".join(error.message.split())
        raise PaperError(f"the picture cannot be drawn: {said}") from error
    (drawn,) = glyphs.sheets(made)
    return drawn
