"""Command drills: what is called out when, what must be shouted back, and how it was."""
