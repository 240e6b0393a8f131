"""A new yard's first page: her floating days at once, then what a first plan needs, step by step."""
