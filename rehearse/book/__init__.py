"""The operator's procedures as data: read, checked, listed and shown."""
