"""rehearse: say a procedure aloud, be heard, judged and corrected, offline."""

import ctypes
import os
from contextlib import suppress

__version__ = "0.1.0"

# Both must be settled before the first thread and before numpy: hence here.

# numpy's own threads wait by spinning, which takes up to a third from the engines that hear.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# glibc gives each thread a pool of memory of its own, and keeps in each what was once needed: with
# two for all of them, hours of hearing take 180 MB less. Elsewhere there is nothing to set.
_M_ARENA_MAX = -8
with suppress(OSError, AttributeError):
    ctypes.CDLL(None).mallopt(_M_ARENA_MAX, 2)
