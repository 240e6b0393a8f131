"""Pages of what owners are told."""
