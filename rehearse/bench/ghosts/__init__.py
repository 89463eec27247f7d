"""Nobody says a step: half hours of other sound, and what becomes of it."""
