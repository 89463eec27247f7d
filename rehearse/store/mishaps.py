"""What the record store refuses, each as one line that a person can act on."""

from __future__ import annotations

from rehearse.errors import StoreError


class NotAllowedError(StoreError):
    """The actor's role does not allow this, or not on this record."""


class PinError(StoreError):
    """The PIN is wrong, unknown, or must wait. `wait`: seconds until the next try counts."""

    def __init__(self, line: str, wait: float = 0.0) -> None:
        super().__init__(line)
        self.wait = wait


class SealedError(StoreError):
    """The record is signed; only a signed correction can be added."""


class MissingError(StoreError):
    """There is no such person, result or entry in this store."""


class NotAcceptedError(StoreError):
    """A value that the store cannot keep as it is."""


class DamagedError(StoreError):
    """The chain is broken, or two stores contradict each other."""
