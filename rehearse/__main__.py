"""`python -m rehearse`: the command line."""

import sys

from rehearse.cli import main

sys.exit(main())
