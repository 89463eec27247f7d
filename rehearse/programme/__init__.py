"""The operator's training programme as data, and who is due for what on a given date."""
