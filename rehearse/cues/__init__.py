"""Cue sounds of drills, computed from formulas: no recording of anything is kept or used."""
