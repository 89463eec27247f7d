"""Drill files: read, checked, found, written out; their keys and their schema."""
