"""The owners' own pages: their private addresses, what is answered there, and winter's question."""
