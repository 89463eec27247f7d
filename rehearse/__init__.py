"""rehearse: say a procedure aloud, be heard, judged and corrected, offline."""

import os

from rehearse.memory import share_pools

__version__ = "0.1.0"

# Both stand here because they come too late behind the first thread and behind numpy, whose own
# threads wait by spinning and would take up to a third from the engines that hear.
share_pools()
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
