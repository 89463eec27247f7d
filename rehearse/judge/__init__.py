"""From what was heard to a verdict on every step: pure functions of values."""
