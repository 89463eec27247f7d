"""rehearse: say a procedure aloud, be heard, judged and corrected, offline."""

import os

__version__ = "0.1.0"

# numpy's own threads wait by spinning, which takes up to a third from the engines that hear. It
# reads this when it is loaded, so it must stand before everything else.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
