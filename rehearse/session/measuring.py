"""`doctor --room` on real devices: measured by `rehearse.session.room`, and kept."""

from __future__ import annotations

from contextlib import closing
from datetime import UTC, datetime

from rehearse.hear.microphone import Microphone
from rehearse.hear.voice import SileroVoice
from rehearse.measured import Measured
from rehearse.room.values import Profile
from rehearse.session import delay, profiles
from rehearse.session.guide import Show
from rehearse.session.room import Lengths, Rig, measure
from rehearse.speak.player import Loudspeaker
from rehearse.speak.voice import Voice

LENGTHS = Lengths()


def measure_and_keep(
    microphone: profiles.Device, loudspeaker: profiles.Device, *, show: Show, tell: Show
) -> tuple[Profile, Measured]:
    """Leads through the half minute; the profile, which is kept, and the latency, likewise.

    Raises:
        RehearseError: as `rehearse.session.room.measure`, or it cannot be kept.
    """
    names = profiles.names(microphone, loudspeaker)
    profiles.kept(*names)  # a file that cannot be read is told before somebody has spoken
    voice = Voice("en")
    rig = Rig(Microphone(microphone), Loudspeaker(loudspeaker), voice, SileroVoice())
    with closing(voice):
        found = measure(rig, show, tell, LENGTHS)
    profile = Profile(*names, datetime.now(UTC), found.silence, found.speaking, found.echo)
    profiles.keep(profile)
    if found.latency.value is not None:
        delay.keep(found.latency, *names)
    return profile, found.latency
