"""Which fonts a text is set in, and which of its letters none of them can draw."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import typst

from rehearse.paper import letters

STANDARDS: list[typst.PDFStandard] = ["a-2a", "ua-1"]
"""Archive quality, tagged for screen readers; the typesetter refuses what does not conform."""

_PROBE = b"""
#set document(title: "letters")
#set page(width: auto, height: auto)
#set text(font: "Libertinus Serif")
#for cluster in json(bytes(sys.inputs.data)) [
  #page(cluster)
  #page(strong(cluster))
]
"""

_INK = re.compile(rb"<use |<image ")  # a glyph drawn, in the typesetter's SVG


def chosen(used: frozenset[str], folders: tuple[Path, ...]) -> tuple[typst.Fonts, frozenset[str]]:
    """The fonts for these letters, and those of them that none can draw.

    The typesetter's own fonts alone where they have every letter, so that every machine draws the
    same; else those of the system and of the folders too.
    """
    fonts = _fonts(False, ())
    missing = _undrawable(used, fonts)
    if missing:
        fonts = _fonts(True, folders)
        missing = _undrawable(missing, fonts)
    return fonts, missing


def sheets(made: bytes | list[bytes] | None) -> list[bytes]:
    """What the typesetter made, a page each."""
    return made if isinstance(made, list) else [made] if made is not None else []


def _undrawable(clusters: frozenset[str], fonts: typst.Fonts) -> frozenset[str]:
    """Those that no font can draw: it has no glyph, or one without ink as some fonts ship."""
    never = frozenset(c for c in clusters if letters.never_printed(c))
    doubtful = sorted(c for c in clusters - never if not (c.isascii() or letters.is_blank(c)))
    failing = list(_failing(doubtful, fonts))
    return never.union(failing, _inkless([c for c in doubtful if c not in failing], fonts))


def _failing(clusters: list[str], fonts: typst.Fonts) -> Iterator[str]:
    """Found by letting the typesetter try, in halves: it refuses letters without a glyph."""
    if not clusters or _accepted(clusters, fonts):
        return
    if len(clusters) == 1:
        yield clusters[0]
        return
    middle = len(clusters) // 2
    yield from _failing(clusters[:middle], fonts)
    yield from _failing(clusters[middle:], fonts)


def _accepted(clusters: list[str], fonts: typst.Fonts) -> bool:
    inputs = {"data": json.dumps(clusters)}
    try:
        typst.compile(
            _PROBE, font_paths=fonts, sys_inputs=inputs, pdf_standards=STANDARDS, timestamp=0
        )
    except typst.TypstError:
        return False
    return True


def _inkless(clusters: list[str], fonts: typst.Fonts) -> Iterator[str]:
    if not clusters:
        return
    inputs = {"data": json.dumps(clusters)}
    compiler = typst.Compiler(_PROBE, font_paths=fonts, sys_inputs=inputs)
    drawn = sheets(compiler.compile(format="svg"))
    for at, cluster in enumerate(clusters):
        if not all(_INK.search(sheet) for sheet in drawn[2 * at : 2 * at + 2]):
            yield cluster


@lru_cache(maxsize=8)
def _fonts(system: bool, folders: tuple[Path, ...]) -> typst.Fonts:
    return typst.Fonts(include_system_fonts=system, font_paths=list(folders))
