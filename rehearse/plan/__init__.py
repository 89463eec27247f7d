"""An aircraft's register drawn and printed: cabin plan, equipment map, position card. Pure."""
