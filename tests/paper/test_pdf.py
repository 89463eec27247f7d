from __future__ import annotations

import io
import json
import subprocess
import sys
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

import pypdf
import pytest
import typst
from pypdf.generic import StreamObject

from rehearse.paper import glyphs
from rehearse.paper.check_record import check_record
from rehearse.paper.class_sheet import class_sheet
from rehearse.paper.training_record import training_record
from rehearse.paper.typeset import Draft, PaperError, pictures, typeset
from rehearse.paper.values import (
    Candidate,
    CheckRecord,
    ClassSheet,
    Column,
    Outcome,
    Paper,
    TrainingRecord,
)
from rehearse.safety import NOTICE


def pages(pdf: bytes) -> list[str]:
    """The text of each page, on one line, without the hidden places to break."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    texts = [page.extract_text().replace("\u200b", "") for page in reader.pages]
    return [" ".join(unicodedata.normalize("NFC", text).split()) for text in texts]


def squeezed(text: str) -> str:
    """The text without blanks and direction marks, so that line ends do not matter."""
    return "".join(text.split()).replace("\u2068", "").replace("\u2069", "")


def printed(draft: Draft, paper: Paper = Paper.A4) -> str:
    """All pages' text, squeezed."""
    return squeezed(" ".join(pages(typeset(draft, paper).pdf)))


def wide_sheet(sheet: ClassSheet, candidates: int, elements: int) -> ClassSheet:
    """The class sheet, blown up to this size."""
    outcomes = (Outcome.PASSED,) * elements
    return replace(
        sheet,
        columns=tuple(Column(f"x{at}", f"Element {at}") for at in range(elements)),
        candidates=tuple(
            Candidate(replace(sheet.instructor, staff_number=f"Z{at:04d}"), outcomes)
            for at in range(candidates)
        ),
    )


@pytest.mark.parametrize("paper", Paper)
def test_every_sheet_has_its_head_and_foot(sheet: ClassSheet, paper: Paper) -> None:
    """On each of many sheets: operator, aircraft, revision, subject, chain head, notice, x of y."""
    found = pages(typeset(class_sheet(wide_sheet(sheet, 60, 20)), paper).pdf)
    assert len(found) > 5
    head = sheet.heading
    for number, text in enumerate(found, 1):
        for part in (
            f"{head.operator}, {head.aircraft}",
            head.revision,
            sheet.title,
            NOTICE,
            f"Page {number} of {len(found)}",
            "2026-11-25 09:30, Europe/London",
        ):
            assert squeezed(part) in squeezed(text), (number, part)
        assert head.chain_head in squeezed(text)
        assert f"{head.chain_rows}rows" in squeezed(text)


@pytest.mark.parametrize(("paper", "size"), [(Paper.A4, (595, 842)), (Paper.LETTER, (612, 792))])
def test_sheets_have_the_size_asked_for(
    check: CheckRecord, sheet: ClassSheet, paper: Paper, size: tuple[int, int]
) -> None:
    """A4 and US Letter; a class sheet with many elements lies on its side."""
    upright = pypdf.PdfReader(io.BytesIO(typeset(check_record(check), paper).pdf)).pages[0]
    assert (round(upright.mediabox.width), round(upright.mediabox.height)) == size
    wide = typeset(class_sheet(wide_sheet(sheet, 3, 12)), paper).pdf
    lying = pypdf.PdfReader(io.BytesIO(wide)).pages[0]
    assert (round(lying.mediabox.width), round(lying.mediabox.height)) == size[::-1]


def test_a_training_record_tells_everything(training: TrainingRecord) -> None:
    """Elements, dates, results, both verdicts of an overrule, retraining and the signer's key."""
    text = printed(training_record(training))
    for element in training.elements:
        assert squeezed(f"{element.title} ({element.id})") in text
        assert squeezed(element.standing.value) in text
    overrule = training.elements[0].overrules[0]
    signature = training.elements[0].signatures[0]
    for part in (
        "17 elements: 10 current, 1 in its window, 1 due this month, 1 overdue",
        "2026-10-03 oral Torvald Brandt (F0007)",
        "2027-10-31",
        f"{overrule.about} unclear said",
        overrule.reason,
        "Order of the handle and the slide 2026-10-03 open",
        "Commands at a blocked exit 2025-09-01 2025-09-20 Mara Quill (F0011)",
        signature.covers,
        signature.fingerprint,
    ):
        assert squeezed(part) in text, part


def test_an_unsigned_record_says_so(training: TrainingRecord) -> None:
    """Paper without a signature cannot be taken for a signed record."""
    bare = replace(training, elements=tuple(replace(e, signatures=()) for e in training.elements))
    assert squeezed("Not signed.") in printed(training_record(bare))
    assert squeezed("Not signed.") not in printed(training_record(training))


def test_a_check_tells_each_step_and_its_second(check: CheckRecord) -> None:
    """Verdict, words and seconds of every step; an overruled one shows both verdicts and why."""
    text = printed(check_record(check))
    for step in check.steps:
        assert squeezed(step.say) in text
        assert squeezed(step.counts.value.replace("_", " ")) in text
        assert not step.heard or squeezed(f"“{step.heard}”") in text
    for part in (
        "0:07.0 to 0:09.2",
        "said the tool: unclear",
        "Overruled from unclear to said by Torvald Brandt (F0007), 2026-10-03 14:58: The horn",
        "Remark Hesitated here.",
        "dangerous “turn the drum to disarmed” 0:31.4",
        "Asked once to speak louder.",
        check.log_digest,
        check.sound_digest,
        "Taught by Mara Quill (F0011)",
        "random, seed 7731",
        "not passed Critical step 2 is wrong.",
    ):
        assert squeezed(part) in text, part
    assert squeezed("no sound was kept") in printed(check_record(replace(check, sound_digest="")))


def test_a_class_sheet_leaves_the_unclear_to_the_instructor(sheet: ClassSheet) -> None:
    """Each unclear step is listed with what was heard, where, and room for a decision."""
    text = printed(class_sheet(sheet))
    for part in (
        "82 checks: 55 passed, 13 not passed, 14 unclear.",
        "Decision Initials",
        sheet.open_points[0].step,
        "at 0:14.2 of 2026-10-03-101500-arm-door-2l",
        "8 Ditching: donning life vests e07",
    ):
        assert squeezed(part) in text, part
    assert text.count("notpassed") == 13 + 1  # and the summary
    none = replace(sheet, open_points=())
    assert squeezed("Nothing is unclear.") in printed(class_sheet(none))


@pytest.mark.parametrize(
    "name",
    [
        'O\'Brien "Kit" /../../etc/passwd',
        '#import "x.typ": * ; *b* _i_ $x^2$ <a> @b `c` \\ // /* #panic() ]][[ {{',
        "أحمد",
        "Ωμέγα Жанна Đặng Zoë",
        "N" * 300,
        "word " * 60,
    ],
)
def test_any_name_is_printed_as_it_is(check: CheckRecord, name: str) -> None:
    """Quotes, path parts, markup, other scripts and 300 letters come out whole, as plain text."""
    step = replace(check.steps[0], say=name, remark=name)
    named = replace(
        check,
        candidate=replace(check.candidate, name=name),
        title=name,
        steps=(step, *check.steps[1:]),
        taught_by=replace(check.examiner, name=name),
    )
    made = typeset(check_record(named), Paper.LETTER)
    assert made.warning == ""
    wanted = squeezed(name)
    # An extractor gives right-to-left words letter by letter as they stand on the line.
    seen = squeezed(" ".join(pages(made.pdf)))
    assert seen.count(wanted) + seen.count(wanted[::-1]) >= 4


def test_a_direction_mark_cannot_turn_a_name(check: CheckRecord) -> None:
    """A hidden right-to-left mark would show a name backwards; it is left out."""
    name = "Anna\u202e\u2067\u2069gnitset"
    made = typeset(check_record(replace(check, title=name)), Paper.A4)
    assert "Annagnitset" in squeezed(pages(made.pdf)[0])


def embedded_only(system: bool, folders: tuple[Path, ...]) -> typst.Fonts:
    """A machine without fonts of its own."""
    del system, folders
    return typst.Fonts(include_system_fonts=False)


@pytest.mark.parametrize(
    ("name", "shown", "script"),
    [
        ("김민수", "[U+AE40][U+BBFC][U+C218]", "Hangul"),
        ("Li 李明 x", "Li [U+674E][U+660E] x", "Chinese characters"),
        ("👨\u200d👩", "[U+1F468 U+200D U+1F469]", "symbols"),
        ("a\ue000b\ud800", "a[U+E000]b[U+D800]", "no letter"),
    ],
)
def test_letters_without_a_glyph_are_named(
    check: CheckRecord, monkeypatch: pytest.MonkeyPatch, name: str, shown: str, script: str
) -> None:
    """Where no font has a letter, its number is printed and one line says so: never a box."""
    monkeypatch.setattr(glyphs, "_fonts", embedded_only)
    made = typeset(check_record(replace(check, title=name)), Paper.A4)
    first = squeezed(pages(made.pdf)[0])
    assert squeezed(shown) in first
    assert squeezed(made.warning) in first
    assert f"({script})" in made.warning
    assert "\n" not in made.warning


def test_a_glyph_without_ink_is_not_trusted() -> None:
    """Some fonts claim a letter and draw nothing; the drawing itself is looked at."""
    fonts = typst.Fonts(include_system_fonts=False)
    assert list(glyphs._inkless(["é", "\u2003", "ж"], fonts)) == ["\u2003"]


REPORTS: list[Callable[..., Draft]] = [training_record, class_sheet, check_record]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("report", REPORTS)
def test_the_same_values_give_the_same_bytes(
    request: pytest.FixtureRequest, report: Callable[..., Draft], paper: Paper
) -> None:
    """A report can be made again and compared; a change of one value changes it."""
    fixture = {training_record: "training", class_sheet: "sheet", check_record: "check"}[report]
    value = request.getfixturevalue(fixture)
    first = typeset(report(value), paper).pdf
    assert typeset(report(value), paper).pdf == first
    later = replace(value, heading=replace(value.heading, chain_rows=1))
    assert typeset(report(later), paper).pdf != first


def test_another_process_gives_the_same_bytes(tmp_path: Path, sheet: ClassSheet) -> None:
    """Nothing of the process, its hash seed, its folder or its zone is in the file."""
    draft = class_sheet(sheet)
    code = (
        "import json, sys; from datetime import datetime; from hashlib import sha256;"
        "from rehearse.paper.typeset import Draft, typeset;"
        "from rehearse.paper.values import Heading, Paper;"
        "given = json.load(sys.stdin); head = given['heading'];"
        "head['made'] = datetime.fromisoformat(head['made']);"
        "draft = Draft(**{**given, 'heading': Heading(**head)});"
        "print(sha256(typeset(draft, Paper.A4).pdf).hexdigest())"
    )
    heading = {**draft.heading.__dict__, "made": draft.heading.made.isoformat()}
    given = json.dumps({**draft.__dict__, "heading": heading})
    root = str(Path(__file__).resolve().parents[2])
    digests = {
        subprocess.run(
            [sys.executable, "-c", code],
            input=given,
            text=True,
            capture_output=True,
            check=True,
            cwd=tmp_path,
            env={"PYTHONPATH": root, "PYTHONHASHSEED": seed, "TZ": zone},
        ).stdout
        for seed, zone in (("1", "Asia/Tokyo"), ("2", "America/Lima"))
    }
    assert digests == {sha256(typeset(draft, Paper.A4).pdf).hexdigest() + "\n"}


def test_the_file_is_tagged_and_says_what_it_is(check: CheckRecord) -> None:
    """Archive and accessibility standards are claimed, the language and title are set."""
    reader = pypdf.PdfReader(io.BytesIO(typeset(check_record(check), Paper.A4).pdf))
    catalogue = reader.root_object
    assert str(catalogue["/Lang"]) == "en-GB"
    assert "/MarkInfo" in catalogue
    assert "/StructTreeRoot" in catalogue
    metadata = catalogue["/Metadata"].get_object()
    assert isinstance(metadata, StreamObject)
    xmp = metadata.get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp
    assert reader.metadata is not None
    assert reader.metadata.title == "Oral check: Ines Okafor (F1042)"
    assert reader.metadata.creation_date == check.heading.made


def lowest(pdf: bytes) -> float:
    """How far above the foot of its page the lowest text stands, in points."""
    heights: list[float] = []
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(
            visitor_text=lambda text, outer, inner, *_: (
                heights.append(outer[5] + outer[3] * inner[5]) if text.strip() else None
            )
        )
    return min(heights)


def test_each_outcome_stands_under_its_element(sheet: ClassSheet) -> None:
    """Where elements go into a second table, their outcomes go with them."""
    wide = wide_sheet(sheet, 3, 20)
    marked = tuple(
        replace(one, outcomes=(Outcome.PASSED,) * 15 + (Outcome.NOT_PASSED,) * 4 + (None,))
        for one in wide.candidates
    )
    made = typeset(class_sheet(replace(wide, candidates=marked)), Paper.A4)
    text = squeezed(" ".join(pages(made.pdf)))
    first, second = text.split("Results,elements16to20")
    assert (first.count("notpassed"), first.count("passed")) == (1, 1 + 1 + 45)  # with the summary
    assert second.count("notpassed") == 12
    assert second.count("passed") == 12


def test_a_long_record_loses_no_element(training: TrainingRecord) -> None:
    """Over many sheets every element is printed once, and long remarks run on to the next."""
    model = training.elements[0]
    elements = tuple(
        replace(model, id=f"id{at:03d}", remark=f"start{at} " + "long " * 1200 + f"end{at}")
        if at % 40 == 7
        else replace(model, id=f"id{at:03d}", overrules=())
        for at in range(120)
    )
    long = replace(training, elements=elements, on=date(2028, 2, 29))
    made = typeset(training_record(long), Paper.A4)
    text = squeezed(" ".join(pages(made.pdf)))
    assert all(text.count(f"(id{at:03d})") == 1 for at in range(120))
    assert all(f"start{at}long" in text and f"longend{at}" in text for at in (7, 47, 87))
    assert text.count("long") >= 3 * 1200
    assert lowest(made.pdf) > 20


def test_sheets_can_be_looked_at(check: CheckRecord) -> None:
    """Each page is also a PNG picture of the size asked for."""
    shown = pictures(check_record(check), Paper.LETTER, dots_per_inch=72)
    assert len(shown) == len(pages(typeset(check_record(check), Paper.LETTER).pdf))
    for png in shown:
        assert png.startswith(b"\x89PNG\r\n\x1a\n")
        assert (int.from_bytes(png[16:20]), int.from_bytes(png[20:24])) == (612, 792)


def test_what_cannot_be_set_is_told_in_one_line(check: CheckRecord) -> None:
    """A fault of the typesetter is one line that names the report, not its many-line diagnosis."""
    draft = check_record(check)
    broken = replace(draft, texts={**draft.texts, "steps": "none"})
    with pytest.raises(PaperError, match="Oral check: cannot be set: ") as caught:
        typeset(broken, Paper.A4)
    assert "\n" not in str(caught.value)
