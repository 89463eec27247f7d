"""From sound to words that the sound supports."""
