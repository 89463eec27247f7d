"""A drill while it goes on: what the seed decides, its cues, what is heard, how a stage stands."""
