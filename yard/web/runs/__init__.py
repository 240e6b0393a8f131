"""Pages of owners' runs: a day of them, and one wish to answer."""
