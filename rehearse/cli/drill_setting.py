"""What `drill` measures once: a person's calm voice, and how late a headset plays."""

from __future__ import annotations

import argparse

from rehearse.book.show import wrapped
from rehearse.cli.common import PASSED, device, say
from rehearse.drill.shown.facts import measured
from rehearse.errors import RehearseError
from rehearse.screen import waiting


def baseline(options: argparse.Namespace) -> int:
    """Reads the baseline in; the exit status.

    Raises:
        RehearseError: no microphone, or the reading cannot be used: the room is too loud, the
            microphone clips, too little was said. An earlier baseline then stays.
    """
    from rehearse.hear.microphone import Microphone
    from rehearse.session.calm import READING, keep, read_in
    from rehearse.session.quiet import libraries_quiet

    say("Read this aloud, calmly, as you would speak across a table:")
    say("")
    for line in wrapped(READING, "    ", "    "):
        say(line)
    say("")
    microphone = device(options.microphone)
    with libraries_quiet(), waiting("listening") as told:
        calm = read_in(microphone, lambda left: told(f"listening: {left:.0f} s left"))
    if calm.level.value is None:
        raise RehearseError(f"drill: --baseline: {calm.level.void}; nothing was kept, read again")
    name = Microphone(microphone).hardware()
    keep(calm, options.person, name)
    say(f"Your calm level on {name}: {measured(calm.level, ' dB over full scale', 1)}. Kept.")
    return PASSED


def latency(options: argparse.Namespace) -> int:
    """Measures how late the loudspeaker is heard by the microphone, and keeps it.

    Raises:
        RehearseError: a device fails, or the microphone does not hear what is played.
    """
    from rehearse.hear.microphone import Microphone
    from rehearse.session.delay import keep, measure
    from rehearse.session.quiet import libraries_quiet
    from rehearse.speak.player import Loudspeaker

    microphone = Microphone(device(options.microphone))
    loudspeaker = Loudspeaker(device(options.loudspeaker))
    say("Hold one ear piece right to the microphone: water is played three times.")
    with libraries_quiet():
        found = measure(microphone, loudspeaker)
        names = microphone.hardware(), loudspeaker.hardware()
    keep(found, *names)
    say(f"Heard {measured(found, ' s', 3)} after it was played. Kept for {' and '.join(names)}.")
    return PASSED
