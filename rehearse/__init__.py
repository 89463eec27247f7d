"""rehearse: say a procedure aloud, be heard, judged and corrected, offline."""

__version__ = "0.1.0"
