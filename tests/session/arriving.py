"""The time of a constructed room."""

from __future__ import annotations


class RoomClock:
    """The sound that has arrived, in place of `rehearse.session.clock.SoundClock`."""

    def __init__(self) -> None:
        self.arrived = 0.0

    def advance(self, seconds: float) -> None:
        """As `rehearse.session.clock.SoundClock`."""
        self.arrived += seconds

    def lost(self) -> None:
        """Likewise."""

    def __call__(self) -> float:
        """Likewise."""
        return self.arrived
