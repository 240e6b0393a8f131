"""The promise: a plan simulated many times over, dates with their chances, and what the risk comes from."""
