"""A model fetched from the net: checked before anything of it is unpacked, put in place at once.

Nothing half finished is ever left where a model is looked for: the archive and its files lie in a
temporary folder beside the place until they are complete.
"""

from __future__ import annotations

import errno
import hashlib
import os
import tempfile
import urllib.error
import urllib.request
from collections.abc import Callable
from http.client import HTTPException
from pathlib import Path, PurePosixPath
from zipfile import BadZipFile, ZipFile, ZipInfo

from rehearse.errors import ModelError
from rehearse.weights.catalogue import Fetchable
from rehearse.weights.store import models_folder
from rehearse.weights.vosk_models import own_models_folder

Progress = Callable[[int, int], None]
"""Told the bytes fetched so far, and of how many."""

_PIECE = 1 << 16
_WAIT = 30.0  # seconds without an answer
_LARGEST = 30  # times the archive that its files may take: more is no model
_LINK = 0o120000
_KIND = 0o170000
_FULL = {errno.ENOSPC, errno.EDQUOT}


def place_for_models() -> Path:
    """The models folder if it can be written, else the user's own; made if it is not there."""
    shipped = models_folder()
    if shipped.is_dir() and os.access(shipped, os.W_OK):
        return shipped
    own = own_models_folder()
    try:
        own.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unwritable(own, error) from error
    return own


def fetch(model: Fetchable, place: Path, progress: Progress = lambda _got, _of: None) -> Path:
    """Fetch a model into `place`; returns its folder.

    Raises:
        ModelError: it is there already, the net or the server does not answer, the archive is not
            the one that is known, the disk is full or cannot be written. Nothing is left behind.
    """
    folder = place / model.name
    if folder.exists():
        raise ModelError(f"{folder}: is there already; remove it first to fetch it anew")
    try:
        with tempfile.TemporaryDirectory(prefix=".fetching-", dir=place) as beside:
            archive = Path(beside) / "archive.zip"
            _download(model, archive, progress)
            unpacked = Path(beside) / "unpacked"
            _unpack(archive, unpacked, _LARGEST * model.size)
            _root(unpacked, model).rename(folder)
    except OSError as error:
        raise _unwritable(place, error) from error
    return folder


def _download(model: Fetchable, archive: Path, progress: Progress) -> None:
    """The archive, of the right length and checksum."""
    found = hashlib.sha256()
    got = 0
    try:
        answer = urllib.request.urlopen(model.url, timeout=_WAIT)  # noqa: S310 - of the catalogue
    except (urllib.error.URLError, HTTPException, TimeoutError) as error:
        raise _unreachable(model, getattr(error, "reason", error)) from error
    with answer, archive.open("wb") as file:
        while True:
            try:
                piece = answer.read(_PIECE)
            except (HTTPException, OSError) as error:
                raise _unreachable(model, error) from error
            if not piece:
                break
            got += len(piece)
            if got > model.size:
                break
            found.update(piece)
            file.write(piece)
            progress(got, model.size)
    if got < model.size:
        raise ModelError(
            f"{model.url}: broke off after {got} of {model.size} bytes; nothing was kept, try again"
        )
    if got > model.size or found.hexdigest() != model.sha256:
        raise ModelError(
            f"{model.url}: is not the archive that is known (sha256 {found.hexdigest()[:12]}..., "
            f"expected {model.sha256[:12]}...); nothing was kept: try again, and if it stays so "
            "take the model from its publisher by hand (docs/speech-models.md)"
        )


def _unpack(archive: Path, into: Path, most: int) -> None:
    """All files of an archive; none may lie outside the folder, be a link or be endless."""
    try:
        with ZipFile(archive) as packed:
            items = packed.infolist()
            if any(not _harmless(item) for item in items):
                raise ModelError(f"{archive.name}: holds a path that leads out of it; not unpacked")
            if sum(item.file_size for item in items) > most:
                raise ModelError(f"{archive.name}: is too large unpacked; not unpacked")
            packed.extractall(into)
    except (BadZipFile, NotImplementedError, EOFError) as error:
        raise ModelError(f"{archive.name}: cannot be unpacked ({error}); try again") from error


def _harmless(item: ZipInfo) -> bool:
    path = PurePosixPath(item.filename.replace("\\", "/"))
    link = (item.external_attr >> 16) & _KIND == _LINK
    return not (path.is_absolute() or ".." in path.parts or ":" in item.filename or link)


def _root(unpacked: Path, model: Fetchable) -> Path:
    """The folder in the archive that is the model."""
    found = sorted(unpacked.glob("**/am/final.mdl"))
    if len(found) != 1:
        raise ModelError(f"{model.url}: holds no model; nothing was kept")
    return found[0].parents[1]


def _unreachable(model: Fetchable, reason: object) -> ModelError:
    return ModelError(
        f"{model.url}: cannot be fetched ({reason}); connect this machine to the net and try "
        "again, or copy the model from one that is (docs/speech-models.md)"
    )


def _unwritable(place: Path, error: OSError) -> ModelError:
    if error.errno in _FULL:
        return ModelError(f"{place}: the disk is full; free some space and try again")
    reason = error.strerror or error
    return ModelError(
        f"{place}: cannot be written ({reason}); give yourself the right to, or name another "
        "folder in REHEARSE_MODELS"
    )
