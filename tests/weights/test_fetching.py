from __future__ import annotations

import hashlib
import io
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from random import Random
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from rehearse.errors import ModelError
from rehearse.weights.catalogue import Fetchable, catalogue, fetchable
from rehearse.weights.fetching import fetch

MODEL = {"small/am/final.mdl": Random(1).randbytes(28_000), "small/conf/model.conf": b"--beam=10\n"}


@dataclass
class Shop:
    """A server on this machine that has one archive. sent: bytes it sends before it hangs up."""

    url: str = ""
    archive: bytes = b""
    sent: int | None = None
    asked: list[str] = field(default_factory=list)

    def model(self, archive: bytes) -> Fetchable:
        """The archive put on the shelf, with its true checksum and size."""
        self.archive = archive
        checksum = hashlib.sha256(archive).hexdigest()
        return Fetchable("vosk-xx", "a model", "MIT", self.url, checksum, len(archive))


@pytest.fixture
def shop() -> Iterator[Shop]:
    """A server that is reached at its `url`."""
    shop = Shop()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            shop.asked.append(self.path)
            self.send_response(200)
            self.send_header("Content-Length", str(len(shop.archive)))
            self.end_headers()
            self.wfile.write(shop.archive[: shop.sent])

        def log_message(self, *_args: object) -> None:
            """Says nothing."""

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        shop.url = f"http://127.0.0.1:{server.server_port}/small.zip"
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield shop
        server.shutdown()
        thread.join()


def zipped(files: dict[str, bytes]) -> bytes:
    """An archive of these files."""
    made = io.BytesIO()
    with ZipFile(made, "w", ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return made.getvalue()


def test_a_model_is_fetched_and_put_in_its_place(shop: Shop, tmp_path: Path) -> None:
    """Its files lie in a folder of its name, progress was told, and nothing else is left."""
    told: list[tuple[int, int]] = []
    model = shop.model(zipped(MODEL))
    folder = fetch(model, tmp_path, lambda got, of: told.append((got, of)))
    assert folder == tmp_path / "vosk-xx"
    for name, content in MODEL.items():
        assert (folder / name.removeprefix("small/")).read_bytes() == content
    assert told[-1] == (model.size, model.size)
    assert list(tmp_path.iterdir()) == [folder]


def test_a_model_that_is_there_is_not_fetched_again(shop: Shop, tmp_path: Path) -> None:
    """What a user has is never overwritten, and the net is left alone."""
    (tmp_path / "vosk-xx").mkdir()
    with pytest.raises(ModelError, match=r"vosk-xx: is there already; remove it first"):
        fetch(shop.model(zipped(MODEL)), tmp_path)
    assert not shop.asked


@pytest.mark.parametrize(
    ("files", "fault"),
    [
        ({"../small/am/final.mdl": b"x"}, "leads out of it"),
        ({"/small/am/final.mdl": b"x"}, "leads out of it"),
        ({"small/readme": b"x"}, "holds no model"),
        ({"small/am/final.mdl": bytes(4_000_000)}, "too large unpacked"),
    ],
)
def test_an_archive_that_is_no_model_leaves_nothing_behind(
    shop: Shop, tmp_path: Path, files: dict[str, bytes], fault: str
) -> None:
    """No file lands outside the folder, and no half a model where one is looked for."""
    place = tmp_path / "models"
    place.mkdir()
    with pytest.raises(ModelError, match=fault):
        fetch(shop.model(zipped(files)), place)
    assert not list(place.iterdir())
    assert list(tmp_path.iterdir()) == [place]


def test_an_altered_archive_is_refused(shop: Shop, tmp_path: Path) -> None:
    """One byte that differs is enough: nothing of it is unpacked."""
    model = shop.model(zipped(MODEL))
    shop.archive = shop.archive[:-1] + b"\0"
    with pytest.raises(ModelError, match=r"is not the archive that is known \(sha256"):
        fetch(replace(model, sha256="0" * 64), tmp_path)
    assert not list(tmp_path.iterdir())


def test_an_answer_that_breaks_off_is_told(shop: Shop, tmp_path: Path) -> None:
    """Half an archive is not kept, and the line says to try again."""
    model = shop.model(zipped(MODEL))
    shop.sent = 1000
    with pytest.raises(ModelError, match=r"try again"):
        fetch(model, tmp_path)
    assert not list(tmp_path.iterdir())


def test_without_the_net_one_line_tells_what_to_do(tmp_path: Path) -> None:
    """A server that cannot be reached is named, with the mend."""
    model = replace(catalogue()["vosk-en"], url="http://127.0.0.1:9/small.zip")
    with pytest.raises(ModelError) as told:
        fetch(model, tmp_path)
    assert "cannot be fetched" in str(told.value)
    assert "connect this machine" in str(told.value)
    assert "\n" not in str(told.value)


def test_an_unknown_name_lists_the_known_ones() -> None:
    """A user who mistypes is told what there is."""
    with pytest.raises(ModelError, match=r"no model 'vosk-eng' is known; known are vosk-en"):
        fetchable("vosk-eng")
