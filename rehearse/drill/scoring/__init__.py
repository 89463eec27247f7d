"""From what was heard of a run to its result: sayings, answers, limits, stops."""
