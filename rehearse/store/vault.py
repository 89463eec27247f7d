"""Personal content at rest: in clear, or under the operator's key (AES-256-GCM)."""

from __future__ import annotations

import base64
import binascii
import hashlib
import os
from dataclasses import dataclass, field
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from rehearse.errors import StoreError
from rehearse.record.place import write_private

KEY_BYTES = 32
_NONCE_BYTES = 12


@dataclass(frozen=True)
class Vault:
    """Seals and opens personal content. Without a key it is kept as it is.

    key: 32 bytes, or None. Each content is bound to the row it belongs to, so that contents
        cannot be exchanged.
    """

    key: bytes | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        if self.key is not None and len(self.key) != KEY_BYTES:
            raise StoreError(f"an operator key has {KEY_BYTES} bytes, this one {len(self.key)}")

    @property
    def key_id(self) -> str:
        """A name for the key that gives nothing of it away; "" without one."""
        if self.key is None:
            return ""
        return hashlib.sha256(b"rehearse operator key" + self.key).hexdigest()[:16]

    def seal(self, row: str, clear: bytes) -> bytes:
        """What is written to the disk for the content of this row."""
        if self.key is None:
            return clear
        nonce = os.urandom(_NONCE_BYTES)
        return nonce + AESGCM(self.key).encrypt(nonce, clear, row.encode())

    def open(self, row: str, key_id: str, body: bytes) -> bytes:
        """The content in clear.

        Raises:
            StoreError: it was sealed with another key, or changed.
        """
        if key_id == "":
            return body
        if self.key is None or key_id != self.key_id:
            raise StoreError(f"names and sound are under the operator key {key_id}; give that key")
        try:
            return AESGCM(self.key).decrypt(body[:_NONCE_BYTES], body[_NONCE_BYTES:], row.encode())
        except InvalidTag:
            raise StoreError(f"content of {row}: changed on the disk; verify the records") from None


def new_key(path: Path) -> bytes:
    """A fresh operator key, written to a new file that only its owner may read.

    Keep a copy elsewhere: without it nobody can read the names and sounds again.

    Raises:
        StoreError: the file exists or cannot be written.
    """
    key = os.urandom(KEY_BYTES)
    write_private(path, base64.b64encode(key) + b"\n")
    return key


def read_key(path: Path) -> bytes:
    """The key in a file that `new_key` wrote.

    Raises:
        StoreError: it cannot be read, is no key, or others may read it.
    """
    try:
        if path.stat().st_mode & 0o077:
            raise StoreError(f"{path}: others may read this key; run: chmod 600 {path}")
        key = base64.b64decode(path.read_bytes().strip(), validate=True)
    except OSError as error:
        raise StoreError(f"{path}: the key cannot be read ({error.strerror})") from error
    except binascii.Error:
        raise StoreError(f"{path}: this is no operator key; restore it from a copy") from None
    if len(key) != KEY_BYTES:
        raise StoreError(f"{path}: this is no operator key; restore it from a copy")
    return key
