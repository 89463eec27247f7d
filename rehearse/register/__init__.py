"""An aircraft's data in one place, and what is asked from memory about it."""
