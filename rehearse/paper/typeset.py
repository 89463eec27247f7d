"""A layout and its values made into PDF pages.

Values reach the layout as JSON in an input, never as markup, so no text can act as a command.
Texts that the typesetter's own fonts can draw are set in those alone and give the same bytes on
every machine; other texts fall back to the system's fonts and to folders of fonts named by the
caller.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path

import typst

from rehearse.errors import RehearseError
from rehearse.paper import glyphs, letters, marks
from rehearse.paper.values import Heading, Paper
from rehearse.paper.wording import head_in_groups, minute
from rehearse.safety import NOTICE

Tree = str | int | float | bool | None | Sequence["Tree"] | Mapping[str, "Tree"]


class PaperError(RehearseError):
    """A report that cannot be set."""


@dataclass(frozen=True)
class Printed:
    """A report as PDF. `warning` is the one line about letters without a glyph, or ""."""

    pdf: bytes
    warning: str = ""


@dataclass(frozen=True)
class Draft:
    """A report before it is set: the name of its layout, its heading and its texts.

    subject: who or what it is about; it stands on every sheet.
    pictures: SVG documents by the name that the layout calls them.
    """

    layout: str
    title: str
    subject: str
    heading: Heading
    texts: Mapping[str, Tree]
    pictures: Mapping[str, str] = field(default_factory=dict)


def typeset(draft: Draft, paper: Paper, fonts: tuple[Path, ...] = ()) -> Printed:
    """The draft as PDF, the same bytes for the same values and fonts.

    fonts: folders of fonts to try for letters that the typesetter's own fonts lack.

    Raises:
        PaperError: the typesetter refuses it.
    """
    job = _job(draft, paper, fonts)
    try:
        pdf = typst.compile(
            job.layout,
            font_paths=job.fonts,
            sys_inputs=job.inputs,
            pdf_standards=glyphs.STANDARDS,
            timestamp=math.floor(draft.heading.made.timestamp()),
        )
    except typst.TypstError as error:
        raise _refused(draft, error) from error
    return Printed(pdf, job.warning)


def pictures(
    draft: Draft, paper: Paper, fonts: tuple[Path, ...] = (), dots_per_inch: float = 96.0
) -> tuple[bytes, ...]:
    """The same sheets as PNG pictures, one each, to be looked at on a screen.

    Raises:
        PaperError: the typesetter refuses it.
    """
    job = _job(draft, paper, fonts)
    compiler = typst.Compiler(job.layout, font_paths=job.fonts, sys_inputs=job.inputs)
    try:
        made = compiler.compile(format="png", ppi=dots_per_inch)
    except typst.TypstError as error:
        raise _refused(draft, error) from error
    return tuple(glyphs.sheets(made))


@dataclass(frozen=True)
class _Job:
    """What the typesetter is given, and the line about letters without a glyph."""

    layout: bytes
    fonts: typst.Fonts
    inputs: dict[str, str]
    warning: str


def _job(draft: Draft, paper: Paper, folders: tuple[Path, ...]) -> _Job:
    texts = _mapped(_texts(draft, paper), letters.clean)
    strings = (*_strings(texts), *draft.pictures.values())
    used = frozenset(cluster for text in strings for cluster in letters.clusters(text))
    fonts, missing = glyphs.chosen(used, folders)
    warning = letters.told(missing)
    shown = _mapped(texts, lambda text: letters.breakable(letters.numbered(text, missing)))
    given = {
        "texts": shown,
        "warning": warning,
        "pictures": {
            name: letters.numbered(picture, missing) for name, picture in draft.pictures.items()
        },
        "marks": {name: marks.svg(name) for name in marks.MARKS},
        "document": _named_in_the_file(draft),
    }
    layout = _part("sheet.typ") + _part(f"{draft.layout}.typ")
    return _Job(layout, fonts, {"data": json.dumps(given)}, warning)


def _named_in_the_file(draft: Draft) -> dict[str, str]:
    """Title and author as the PDF's own data hold them, which no font needs to draw."""
    title = letters.clean(letters.bare(f"{draft.title}: {draft.subject}"))
    return {"title": title, "author": letters.clean(draft.heading.operator)}


def _texts(draft: Draft, paper: Paper) -> dict[str, Tree]:
    """Everything the layout shows; the heading's part is the same on every report."""
    heading = draft.heading
    return {
        **draft.texts,
        "paper": paper.value,
        "title": draft.title,
        "subject": letters.clip(draft.subject, 64),
        "operator": letters.clip(heading.operator, 36),
        "aircraft": letters.clip(heading.aircraft, 30),
        "revision": letters.clip(heading.revision, 54),
        "chain": head_in_groups(heading) if heading.chain_head else "",
        "made": f"{minute(heading, heading.made)}, {heading.zone}",
        "notice": NOTICE,
    }


def _mapped(tree: Tree, change: Callable[[str], str]) -> Tree:
    """The tree with every text in it changed; the names of fields stay."""
    if isinstance(tree, str):
        return change(tree)
    if isinstance(tree, Mapping):
        return {name: _mapped(branch, change) for name, branch in tree.items()}
    if isinstance(tree, Sequence):
        return [_mapped(branch, change) for branch in tree]
    return tree


def _strings(tree: Tree) -> Iterator[str]:
    if isinstance(tree, str):
        yield tree
    elif isinstance(tree, Mapping):
        for branch in tree.values():
            yield from _strings(branch)
    elif isinstance(tree, Sequence):
        for branch in tree:
            yield from _strings(branch)


def _part(name: str) -> bytes:
    return resources.files("rehearse.paper").joinpath("layout", name).read_bytes()


def _refused(draft: Draft, error: typst.TypstError) -> PaperError:
    said = " ".join(error.message.split())
    return PaperError(f"{draft.title}: cannot be set: {said}; mend the text that it names")
