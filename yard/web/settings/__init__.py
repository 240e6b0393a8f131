"""The yard's settings as a page: each with its unit, default, source and effect."""
