from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree as ET

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse import __version__
from rehearse.events import Ghost, Heard, PromptEnded, PromptStarted, Requested, Word
from rehearse.hear.recogniser import Sound
from rehearse.judge.verdict import Extra
from rehearse.record.page import page
from rehearse.record.report import Report
from rehearse.record.waveform import Waveform, waveform
from rehearse.safety import NOTICE

VOID = {"meta", "link", "br", "img", "input", "hr"}
ALLOWED = set(
    """html head meta title style body main header footer section h1 h2 p ul li strong span
    table thead tbody tr th td dl div dt dd q bdi
    svg defs pattern symbol path circle rect g text desc use""".split()
)


class Reader(HTMLParser):
    """Reads a page and keeps its elements, checking that they close in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """An element begins."""
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """An element without content."""
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """An element ends."""
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Text between elements."""
        if self._open and self._open[-1] != "style":
            self.words.append(data)

    @property
    def text(self) -> str:
        """All text of the page on one line."""
        return " ".join(" ".join(self.words).split())


@pytest.fixture
def wave(speechlike: Sound) -> Waveform:
    """The shape of some sound."""
    return waveform([speechlike])


def test_tells_everything(report: Report, wave: Waveform) -> None:
    """The page has the outcome, every step, extras, times, the log of words, and the notice."""
    text = Reader(page(report, wave)).text
    for part in (
        "Arm door 2 left",
        "Not passed",
        "Critical step 2 is wrong.",
        "Turn the mode drum a quarter turn towards the hinge to armed",
        "You said disarmed instead of armed.",
        "Closing the flap was left out.",
        "lovely weather",
        "dangerous",
        "3, effective 2026-10-01, CSM 4.2.1",
        "2026-10-01 10:15 UTC",
        "Step 4 is nowhere in it.",
        "give me a hint",
        "thanks for watching",
        "nobody spoke there",
        f"Written by rehearse {__version__}.",
    ):
        assert part in text
    assert text.count(NOTICE) == 2


def test_needs_nothing_else(report: Report, wave: Waveform) -> None:
    """The page loads nothing: no scripts, no addresses, no handlers; links only within itself."""
    text = page(report, wave)
    assert "@import" not in text
    assert "http" not in text
    assert "url(" not in re.sub(r"url\(#[a-z-]+\)", "", text)
    for tag, attributes in Reader(text).elements:
        assert tag in ALLOWED
        assert not any(name.startswith("on") for name in attributes)
        assert "src" not in attributes
        assert (attributes.get("href") or "#").startswith("#")


def test_names_are_unique(report: Report, wave: Waveform) -> None:
    """No two elements share an id, and everything that is referred to exists."""
    elements = Reader(page(report, wave)).elements
    ids = [attributes["id"] for _, attributes in elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    for _, attributes in elements:
        for name in (attributes.get("aria-labelledby") or "").split():
            assert name in ids
        assert (attributes.get("href") or "#" + str(ids[0]))[1:] in ids


def test_pictures_are_described(report: Report, wave: Waveform) -> None:
    """Every picture of the timeline has a title and a description, and is well-formed."""
    text = page(report, wave)
    pictures = re.findall(r'<svg class="row.*?</svg>\n(?=<svg class="row|</div>|\n)', text, re.S)
    assert len(pictures) > 4
    for picture in pictures:
        root = ET.fromstring(picture)  # noqa: S314  (our own page)
        assert root.attrib["role"] == "img"
        assert [child.tag for child in root][:2] == ["title", "desc"]
        assert root[0].text
        assert root[1].text


def test_tables_have_headers(report: Report, wave: Waveform) -> None:
    """Every column has a header with a scope, every step's row is headed by its wording."""
    elements = Reader(page(report, wave)).elements
    scopes = [attributes.get("scope") for tag, attributes in elements if tag == "th"]
    assert scopes.count("col") == 4 + 3 + 3
    assert scopes.count("row") == 5
    assert None not in scopes


def test_verdicts_do_without_colour(report: Report, wave: Waveform) -> None:
    """Each verdict in the table has its word and its own drawn mark beside it."""
    text = page(report, wave)
    rows = re.findall(r'<td role="cell" class="judged">(.*?)</td>', text, re.S)
    marks = [set(re.findall(r"#mark-(\w+)", row)) for row in rows[:5]]
    assert marks == [{"said"}, {"wrong"}, {"incomplete"}, {"not_said"}, {"unclear"}]
    shapes = re.findall(r'<symbol id="mark-\w+" viewBox="0 0 14 14">(.*?)</symbol>', text, re.S)
    assert len(set(shapes)) == 7


NASTY = "</svg></style><script>alert(1)</script><img src=x onerror=alert(1)> & \"'{{ 7*7 }}\u202e"


def infested(report: Report, text: str) -> Report:
    """The report with this text wherever a text can be."""
    steps = tuple(replace(step, say=text) for step in report.procedure.steps)
    results = tuple(replace(step, heard=text, why=text) for step in report.result.steps)
    extra = Extra(text, dangerous=True, why=text, start=1.0, end=2.0)
    header = report.header
    return Report(
        text,
        replace(report.procedure, title=text, aircraft=text, positions=(text,), steps=steps),
        replace(report.result, steps=results, extras=(extra,)),
        (
            Heard(1.0, 2.0, text, (Word(text, 1.0, 2.0),)),
            Heard(3.0, 5.0, text),
            Ghost(6.0, 7.0, text, text),
            PromptStarted(7.0, text, text),
            PromptEnded(8.0),
            Requested(9.0, text, text),
        ),
        replace(header, help=text) if header is not None else None,
    )


@given(text=st.one_of(st.just(NASTY), st.text(max_size=40)))
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_texts_stay_texts(report: Report, text: str) -> None:
    """Whatever was said or written, it is shown and never becomes part of the page."""
    shown = page(infested(report, text))
    shown.encode("utf-8")
    for tag, attributes in Reader(shown).elements:
        assert tag in ALLOWED
        assert not any(name.startswith("on") for name in attributes)
    assert "\u202e" not in shown
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f]", shown)


def test_nasty_text_is_shown(report: Report) -> None:
    """A text that looks like markup or a template can be read as it was said."""
    text = Reader(page(infested(report, NASTY))).text
    assert "<script>alert(1)</script>" in text
    assert "{{ 7*7 }}" in text
    assert "49" not in text


def test_other_scripts(report: Report) -> None:
    """Words of any script are on the page as they are."""
    for words in ("两号左门已待命", "الباب مسلح", "दरवाज़ा दो", "문 두 개"):
        assert words in page(infested(report, words))


@pytest.mark.parametrize("wave", [None, Waveform(0.01, ())])
def test_without_sound(report: Report, wave: Waveform | None) -> None:
    """A take whose sound was not kept has its timeline all the same, and says so."""
    text = page(report, wave)
    assert "There is no sound to show" in text
    assert 'class="speech' in text
    assert 'class="wave"' not in text


def test_nothing_happened(report: Report) -> None:
    """A take without any event is a page without a picture, not an error."""
    text = page(replace(report, events=(), result=replace(report.result, extras=())))
    assert "Nothing happened in this take." in text
    assert 'class="row' not in text
    assert "Said beyond" not in text


def test_long_takes_stay_small(report: Report) -> None:
    """Two hours of sound with some words do not make a page that no one can open."""
    heard = tuple(Heard(n * 60.0, n * 60.0 + 3.0, "door two left") for n in range(120))
    hours = Waveform(0.44, (0.2, 0.5) * 8192)
    assert len(page(replace(report, events=heard), hours)) < 2_000_000
