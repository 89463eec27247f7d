"""What the store holds turned into the values that `rehearse.paper` sets. Reads, never writes."""
