"""Measures a room as `rehearse doctor --room` does, in less time and with shorter sentences."""

from __future__ import annotations

import sys

from rehearse.cli import main
from rehearse.session import measuring, room

READ = "Now read."
SECONDS = 8.5  # that the sentence is listened to

if __name__ == "__main__":
    room.BE_SILENT, room.READ, room.WATER = "Silence.", READ, "Water."
    measuring.LENGTHS = room.Lengths(silence=2.5, sentence=SECONDS, settle=0.6, hold=0.1)
    sys.exit(main(sys.argv[1:]))
