"""The JSON Schemas: generated from the tables of keys, so that reader and schema agree."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from rehearse.book.decisions import read_decisions
from rehearse.book.lexicon import read_lexicon
from rehearse.book.procedure_keys import PROCEDURE, STEP
from rehearse.book.reader import read
from rehearse.book.schema import KINDS, schema
from rehearse.book.sealed import read_seals
from rehearse.book.shape import names
from rehearse.book.shelf import SHIPPED, files
from rehearse.cli import main
from rehearse.errors import BookError

Write = Callable[[str | bytes], Path]


class EditorLoader(yaml.SafeLoader):
    """YAML as editors read it: a date is text."""


EditorLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if not tag.endswith("timestamp")]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def faults(kind: str, text: str) -> list[str]:
    """What the schema of this kind finds in a file's text."""
    checker = Draft202012Validator(schema(kind))
    value = yaml.load(text, EditorLoader)  # noqa: S506 - a subclass of the safe one
    return [error.message for error in checker.iter_errors(value)]


@pytest.mark.parametrize("kind", KINDS)
def test_it_is_a_schema(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What the command prints is a valid JSON Schema."""
    assert main(["book", "schema", kind]) == 0
    printed = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(printed)
    assert printed == schema(kind)


def test_every_shipped_procedure_is_valid() -> None:
    """An editor shows no fault in any file that is shipped."""
    shipped = list(files(SHIPPED))
    assert len(shipped) >= 12
    for path in shipped:
        assert faults("procedure", path.read_text("utf-8")) == [], path


@pytest.mark.parametrize("kind", ["lexicon", "decisions", "sealed"])
def test_what_lies_beside_them_is_valid(kind: str) -> None:
    """Nor in the files beside them."""
    for path in SHIPPED.rglob(f"{kind}.yaml"):
        assert faults(kind, path.read_text("utf-8")) == [], path


STRUCTURE = {
    "unknown key": ("title:", "colour: red\ntitle:"),
    "unknown key of a step": ("    after: [drum]", "    before: [drum]"),
    "missing title": ("title: Arm door 2 left\n", ""),
    "missing revision number": ("number: 3, ", ""),
    "missing say": ("    say: Door two left armed and cross-checked\n", ""),
    "no steps": ("steps:\n", "steps: []\nother:\n"),
    "steps of text": ("  - id: flap\n", "  - Open the flap\n  - id: flap\n"),
    "positions of text": ("[C4]", "C4"),
    "small position": ("[C4]", "[c4]"),
    "order": ("order: strict", "order: loose"),
    "truth": ("critical: true", "critical: perhaps"),
    "share": ("share: 0.8", "share: 1.8"),
    "limit": ("within: 90", "within: 0"),
    "day": ("2026-10-01", "in October"),
    "number": ("number: 3", "number: three"),
    "id with a space": ("procedure: arm-door-2l", "procedure: arm door"),
    "long sentence": ("say: Open", "say: " + "so " * 60 + "open"),
    "number for a sentence": ("say: Door two left armed and cross-checked", "say: 12"),
    "null": ("order: strict", "order:"),
    "demands without a list": ("    critical: true", "    demands: {named: drum}"),
    "empty contrast": ("    critical: true", "    demands: {contrasts: {drum: []}}"),
}  # fmt: skip


@pytest.mark.parametrize("name", STRUCTURE)
def test_reader_and_schema_refuse_alike(write: Write, good: str, name: str) -> None:
    """What the reader refuses for its structure, the schema refuses too."""
    before, after = STRUCTURE[name]
    assert before in good
    text = good.replace(before, after, 1)
    with pytest.raises(BookError):
        read(write(text))
    assert faults("procedure", text)


def test_the_good_file_is_valid(write: Write, good: str) -> None:
    """The file that those faults were put into has none."""
    assert len(read(write(good)).steps) == 4
    assert faults("procedure", good) == []


def _paths(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:  # noqa: ANN401
    """The place of every value inside this one."""
    if path:
        yield path
    entries: dict[str | int, Any] = {}
    if isinstance(value, dict | list):
        entries = value if isinstance(value, dict) else dict(enumerate(value))
    for key, inner in entries.items():
        yield from _paths(inner, (*path, key))


FULL = """\
procedure: arm
title: Arm it
aircraft: tarn-240
positions: [C4]
language: en
revision: {number: 3, effective: "2026-10-01", source: CSM}
order: strict
pass: {critical: all, share: 0.8, within: 90}
steps:
  - id: drum
    say: Turn the mode drum to armed
    critical: true
    reason: It fills the slide.
    also: [Drum to armed]
    never: [Drum to disarmed]
    demands: {named: [mode drum], spare: [the], contrasts: {drum: [wheel]}}
  - {id: call, say: Door armed and checked, command: true, after: [drum]}
"""


def test_any_value_of_another_kind_is_refused_by_both(write: Write) -> None:
    """A value of a wrong kind, anywhere in a file, is refused by both or taken by both."""
    whole = yaml.safe_load(FULL)
    assert faults("procedure", FULL) == []
    assert len(read(write(FULL)).steps) == 2
    checked = 0
    for path in _paths(whole):
        for wrong in (None, {"x": "y"}, [["x"]], True, 1.5, ""):
            changed = yaml.safe_load(FULL)
            at = changed
            for key in path[:-1]:
                at = at[key]
            at[path[-1]] = wrong
            text = yaml.safe_dump(changed, sort_keys=False)
            by_schema = bool(faults("procedure", text))
            try:
                read(write(text))
                by_reader = False
            except BookError:
                by_reader = True
            assert by_schema <= by_reader, (path, wrong)
            told_apart = by_reader and not by_schema
            about_others = {"id", "after", "demands"} & set(path)  # ids and words must fit others
            assert not told_apart or about_others, (path, wrong)
            checked += 1
    assert checked > 150


LEXICON = {
    "unknown key": "language: en\nsynonym: []\n",
    "no language": "synonyms: []\n",
    "set of one": "language: en\nsynonyms: [[drum]]\n",
    "no list": "language: en\nsynonyms: drum\n",
    "long phrase": "language: en\nsynonyms: [[drum, a b c d e f g h i]]\n",
    "contrast without a name": "language: en\ncontrasts: [{values: [a, b]}]\n",
    "pairs in a list": "language: en\ndesignators: [D2L, 2L]\n",
    "pair with a list": "language: en\nabbreviations: {PBE: [smoke hood]}\n",
    "named": "language: en\ncontrasts: [{name: a, named: perhaps}]\n",
}


@pytest.mark.parametrize("name", LEXICON)
def test_lexicon_reader_and_schema_refuse_alike(write: Write, name: str) -> None:
    """The same for a lexicon."""
    with pytest.raises(BookError):
        read_lexicon(write(LEXICON[name]))
    assert faults("lexicon", LEXICON[name])


DECIDED = "decisions:\n  - {warning: long-command, procedure: a, step: b, why: So it is, "
DECIDED += "who: A. Mark, date: 2026-11-27}\n"


@pytest.mark.parametrize(
    ("before", "after"),
    [("long-command", "too-long"), ("why: So it is, ", ""), ("2026-11-27", "today"),
     ("step: b", "steps: b"), ("decisions:", "decided:")],
)  # fmt: skip
def test_decisions_reader_and_schema_refuse_alike(write: Write, before: str, after: str) -> None:
    """And for decisions."""
    assert len(read_decisions(write(DECIDED))) == 1
    assert faults("decisions", DECIDED) == []
    with pytest.raises(BookError):
        read_decisions(write(DECIDED.replace(before, after)))
    assert faults("decisions", DECIDED.replace(before, after))


def test_seals_reader_and_schema_refuse_alike(write: Write) -> None:
    """And for seals."""
    text = f"sealed:\n  - {{procedure: a, revision: 1, sha256: {'ab' * 32}, date: 2026-11-27}}\n"
    assert read_seals(write(text))
    assert faults("sealed", text) == []
    with pytest.raises(BookError):
        read_seals(write(text.replace("abab", "xyz", 1)))
    assert faults("sealed", text.replace("abab", "xyz", 1))


def test_the_reader_knows_the_keys_of_the_table(write: Write, good: str) -> None:
    """A key that is in the table and not in the reader's own list would be refused or ignored."""
    text = good.replace("title:", "zzzzzz: 1\ntitle:").replace("say: Open", "qqqqqq: Open")
    with pytest.raises(BookError) as told:
        read(write(text))
    lines = str(told.value)
    assert f"known here: {', '.join(names(PROCEDURE))}" in lines
    assert f"known here: {', '.join(names(STEP))}" in lines
