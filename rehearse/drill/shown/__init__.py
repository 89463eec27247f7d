"""A result told: debrief, text, JSON, pictures, and past runs over time."""
