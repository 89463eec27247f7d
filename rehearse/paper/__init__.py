"""Records on paper and as data: plain values in, PDF, text, picture, CSV and JSON out. Pure."""
