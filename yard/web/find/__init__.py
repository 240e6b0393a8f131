"""One field for anything: what was found, and where each result leads."""
