"""How honest were we? Promised and done, days lost, hours, and whether the odds were right."""
