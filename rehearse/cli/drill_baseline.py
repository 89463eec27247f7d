"""The calm baseline of `drill`: the text shown, half a minute of reading measured and kept."""

from __future__ import annotations

import argparse

from rehearse.book.show import wrapped
from rehearse.cli.common import PASSED, say
from rehearse.cli.drill_acts import device
from rehearse.drill.facts import measured
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
