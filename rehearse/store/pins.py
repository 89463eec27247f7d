"""PINs and the keys they guard: Argon2id hashes, and Ed25519 keys that only their PIN opens."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError
from argon2.low_level import Type, hash_secret_raw
from cryptography.exceptions import InvalidSignature, InvalidTag
from cryptography.hazmat.primitives.asymmetric.ed25519 import (
    Ed25519PrivateKey,
    Ed25519PublicKey,
)
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from rehearse.store.canonical import from_text, to_text
from rehearse.store.mishaps import NotAcceptedError, PinError

LEAST_CHARACTERS = 6
FREE_TRIES = 3  # wrong PINs before the next must wait
FIRST_WAIT = 5.0  # seconds, doubled with every further wrong PIN
LONGEST_WAIT = 900.0


@dataclass(frozen=True)
class Cost:
    """What one PIN check costs, and so one guess. The defaults are RFC 9106's second choice.

    memory: KiB. Lower it only for tests.
    """

    rounds: int = 3
    memory: int = 65536
    lanes: int = 4

    @property
    def hasher(self) -> PasswordHasher:
        """Argon2id at this cost."""
        return PasswordHasher(self.rounds, self.memory, self.lanes)


@dataclass(frozen=True)
class Credential:
    """A PIN's hash and a private key that the PIN opens. `to_bytes` is its personal content."""

    pin_hash: str
    salt: bytes
    cost: Cost
    sealed: bytes

    def to_bytes(self) -> bytes:
        """All of it as canonical JSON."""
        cost = [self.cost.rounds, self.cost.memory, self.cost.lanes]
        return to_text(
            {
                "pin": self.pin_hash,
                "salt": self.salt.hex(),
                "cost": cost,
                "sealed": self.sealed.hex(),
            }
        ).encode()

    @classmethod
    def from_bytes(cls, content: bytes) -> Credential:
        """What `to_bytes` made."""
        row: dict[str, Any] = from_text(content.decode())
        salt, sealed = bytes.fromhex(row["salt"]), bytes.fromhex(row["sealed"])
        return cls(row["pin"], salt, Cost(*row["cost"]), sealed)


def wait_after(wrong: int) -> float:
    """Seconds that must pass after this many wrong PINs in a row before the next is tried."""
    if wrong < FREE_TRIES:
        return 0.0
    return min(FIRST_WAIT * 2.0 ** min(wrong - FREE_TRIES, 30), LONGEST_WAIT)


def check_new(pin: str) -> None:
    """Refuse a PIN that is too easily guessed.

    Raises:
        NotAcceptedError: it is too short or one character throughout or a plain run of digits.
    """
    if len(pin) < LEAST_CHARACTERS:
        raise NotAcceptedError(f"a PIN needs at least {LEAST_CHARACTERS} characters; choose longer")
    if len(set(pin)) == 1 or pin in "01234567890" or pin in "09876543210":
        raise NotAcceptedError("this PIN is among the first that are guessed; choose another")


def new_credential(
    pin: str, cost: Cost, private: Ed25519PrivateKey | None = None
) -> tuple[Credential, bytes]:
    """A credential for this PIN, with the given private key or a fresh one; and the public key.

    Raises:
        NotAcceptedError: the PIN is too easily guessed.
    """
    check_new(pin)
    key = private or Ed25519PrivateKey.generate()
    salt = os.urandom(16)
    # The derived key seals this one secret alone, so a fixed nonce is never used twice.
    sealed = AESGCM(_derived(pin, salt, cost)).encrypt(bytes(12), key.private_bytes_raw(), None)
    credential = Credential(cost.hasher.hash(pin), salt, cost, sealed)
    return credential, key.public_key().public_bytes_raw()


def matches(credential: Credential, pin: str) -> bool:
    """Whether this is the credential's PIN."""
    try:
        return credential.cost.hasher.verify(credential.pin_hash, pin)
    except (Argon2Error, InvalidHashError):
        return False


def waste_a_check(pin: str, cost: Cost) -> None:
    """Take as long as a check does, so that an unknown staff number cannot be told by time."""
    cost.hasher.hash(pin)


def private_key(credential: Credential, pin: str) -> Ed25519PrivateKey:
    """The key that the PIN opens.

    Raises:
        PinError: another PIN, or the sealed key was changed.
    """
    derived = _derived(pin, credential.salt, credential.cost)
    try:
        return Ed25519PrivateKey.from_private_bytes(
            AESGCM(derived).decrypt(bytes(12), credential.sealed, None)
        )
    except InvalidTag:
        raise PinError("wrong PIN; nothing was signed") from None


def is_signed(public: bytes, value: bytes, statement: bytes) -> bool:
    """Whether the signature is that key's over that statement."""
    try:
        _public_key(public).verify(value, statement)
    except (InvalidSignature, ValueError):
        return False
    return True


@lru_cache(maxsize=256)
def _public_key(public: bytes) -> Ed25519PublicKey:
    return Ed25519PublicKey.from_public_bytes(public)


def _derived(pin: str, salt: bytes, cost: Cost) -> bytes:
    return hash_secret_raw(pin.encode(), salt, cost.rounds, cost.memory, cost.lanes, 32, Type.ID)
