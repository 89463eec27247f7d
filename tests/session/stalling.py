"""`rehearse` with a reader that stalls once, when the file named by the first argument appears.

The device's queue holds three seconds instead of thirty, and the reader stands still for five.
"""

import sys
import time
from pathlib import Path

from rehearse.cli import main
from rehearse.hear import microphone
from rehearse.hear.recogniser import Sound
from rehearse.record.take import TakeWriter

HELD, STALLED = 3.0, 5.0
stall = Path(sys.argv[1])
write = TakeWriter.write_sound


def stalling(writer: TakeWriter, samples: Sound) -> None:
    """Write the sound, but stand still first when it is time."""
    if stall.exists():
        stall.unlink()
        time.sleep(STALLED)
    write(writer, samples)


microphone._WAITING_SECONDS = HELD
TakeWriter.write_sound = stalling  # type: ignore[assignment, method-assign]
sys.exit(main(sys.argv[2:]))
