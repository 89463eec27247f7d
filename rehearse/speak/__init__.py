"""Speaking: text to sound, sound to the loudspeaker, and when each prompt began and ended."""
