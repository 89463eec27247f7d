"""Words files: what is read from them, and that whatever else stands there is one clear line."""

import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.errors import WordsError
from rehearse.events import Heard
from rehearse.session.words import LONGEST, read_words


def _file(folder: Path, *rows: object) -> Path:
    path = folder / "words.jsonl"
    path.write_text("\n".join(map(json.dumps, rows)), encoding="utf-8")
    return path


def test_each_line_becomes_one_utterance_that_no_sound_can_contradict(tmp_path: Path) -> None:
    """Text and times come as they stand in the file, and nothing pretends to have been heard."""
    path = _file(
        tmp_path,
        {"text": "Open the flap", "start": 0.5, "end": 1.9},
        {"text": "Turn the drum", "start": 3, "end": 4.25},
    )
    assert read_words(path) == [Heard(0.5, 1.9, "Open the flap"), Heard(3.0, 4.25, "Turn the drum")]
    assert all(heard.checks is None and heard.support is None for heard in read_words(path))


def test_utterances_without_times_follow_one_another(tmp_path: Path) -> None:
    """The first begins at zero, each takes some time, and none begins before the last ended."""
    first, second, third = read_words(
        _file(tmp_path, {"text": "Open the flap"}, {"text": "Turn the drum"}, {"text": "Armed"})
    )
    assert first.start == 0.0
    assert first.start < first.end < second.start < second.end < third.start < third.end
    assert second.end - second.start > third.end - third.start


def test_a_known_start_alone_is_kept(tmp_path: Path) -> None:
    """Only what is missing is made up."""
    (heard,) = read_words(_file(tmp_path, {"text": "Open the flap", "start": 7.5}))
    assert heard.start == 7.5
    assert heard.end > 7.5


def test_keys_of_other_tools_do_no_harm(tmp_path: Path) -> None:
    """A transcript may say more about an utterance than is asked for."""
    row = {"text": "Armed", "start": 0, "end": 1, "speaker": "C4", "words": [1]}
    assert read_words(_file(tmp_path, row)) == [Heard(0.0, 1.0, "Armed")]


@pytest.mark.parametrize("start", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte-order-mark"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"], ids=["lf", "crlf"])
def test_files_of_other_systems_and_empty_lines_are_read(
    tmp_path: Path, start: bytes, end: bytes
) -> None:
    """A byte order mark, other line ends and empty lines change nothing."""
    path = tmp_path / "words.jsonl"
    row = '{"text": "Tür zwei \u2028 links", "start": 0, "end": 1}'.encode()
    path.write_bytes(start + end + row + end + b"  " + end + row + end)
    assert [heard.text for heard in read_words(path)] == ["Tür zwei \u2028 links"] * 2


@pytest.mark.parametrize(
    ("line", "field", "mend"),
    [
        ("Open the flap", "", 'write {"text": "..."}'),
        ('["Open the flap"]', "", 'write {"text": "..."}'),
        ("null", "", 'write {"text": "..."}'),
        ('{"text": "Open the flap"', "", 'write {"text": "..."}'),
        pytest.param("[" * 100_000, "", 'write {"text": "..."}', id="nested-deep"),
        pytest.param(
            '{"text": "a", "start": ' + "1" * 5000 + "}",
            "",
            'write {"text": "..."}',
            id="5000-digits",
        ),
        ('{"start": 0, "end": 1}', "text", "write the words"),
        ('{"text": null}', "text", "write the words"),
        ('{"text": 2}', "text", "write the words"),
        ('{"text": " "}', "text", "write the words"),
        ('{"text": "a", "start": "0"}', "start", "give seconds"),
        ('{"text": "a", "start": null}', "start", "give seconds"),
        ('{"text": "a", "start": true}', "start", "give seconds"),
        ('{"text": "a", "start": -0.1}', "start", "give seconds"),
        ('{"text": "a", "start": NaN}', "start", "give seconds"),
        ('{"text": "a", "start": 0, "end": Infinity}', "end", "give seconds"),
        ('{"text": "a", "start": 0, "end": 1e300}', "end", "give seconds"),
        pytest.param(
            '{"text": "a", "start": 0, "end": ' + "1" * 400 + "}",
            "end",
            "give seconds",
            id="400-digits",
        ),
        ('{"text": "a", "start": 2, "end": 1}', "end", "give both in seconds"),
    ],
)
def test_a_bad_line_is_named_with_its_field_and_mend(
    tmp_path: Path, line: str, field: str, mend: str
) -> None:
    """The third line is at fault, not the good one before it or the empty one between."""
    path = tmp_path / "words.jsonl"
    path.write_text('{"text": "Open the flap"}\n\n' + line, encoding="utf-8")
    with pytest.raises(WordsError) as caught:
        read_words(path)
    told = str(caught.value)
    assert told.startswith(f"{path}:3: {field}: " if field else f"{path}:3: not a JSON object")
    assert mend in told
    assert "\n" not in told
    assert len(told) < len(str(path)) + 120


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"", "no utterance in it; write one"),
        (b"\n \n", "no utterance in it; write one"),
        ("caf\u00e9".encode("latin-1"), "not UTF-8 text; save it as UTF-8"),
        ('{"text": "a"}'.encode("utf-16"), "not UTF-8 text; save it as UTF-8"),
        (b'{"text": "a"}\n' * 1_500_000, "larger than 20 MB; split it"),
    ],
    ids=["empty", "blank", "latin-1", "utf-16", "too-big"],
)
def test_a_file_that_is_no_words_file_is_named(tmp_path: Path, content: bytes, fault: str) -> None:
    """Nothing to read, another encoding or far too much: one line says which."""
    path = tmp_path / "words.jsonl"
    path.write_bytes(content)
    with pytest.raises(WordsError, match=re.escape(f"{path}: {fault}")):
        read_words(path)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    """What cannot be opened is told with the system's own reason."""
    for path in (tmp_path / "none.jsonl", tmp_path):
        with pytest.raises(WordsError, match=re.escape(f"{path}: cannot be read")):
            read_words(path)


_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=4,
)
_ROWS = st.dictionaries(st.sampled_from(["text", "start", "end", "other"]), _VALUES)
_TIMED = st.fixed_dictionaries(
    {"text": st.text(max_size=20)},
    optional={"start": st.floats(-1, 100_000), "end": st.floats(-1, 100_000) | st.integers()},
)


@given(
    lines=st.lists(st.one_of(st.text(max_size=20), (_ROWS | _TIMED).map(json.dumps)), max_size=4)
)
def test_any_lines_are_read_in_order_or_refused_in_one_line(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str]
) -> None:
    """Whatever stands in the file, the outcome is sound utterances or one clear line."""
    path = tmp_path_factory.getbasetemp() / "any.jsonl"
    path.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))
    try:
        heards, told = read_words(path), ""
    except WordsError as error:
        heards, told = [], str(error)
    if heards:
        assert all(heard.text.strip() for heard in heards)
        assert all(0 <= heard.start <= heard.end for heard in heards)
        assert all(heard.start <= LONGEST + 10 * len(heards) for heard in heards)
    else:
        assert told.startswith(f"{path}:")
        assert "; " in told
        assert "\n" not in told
