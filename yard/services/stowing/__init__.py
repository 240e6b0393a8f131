"""Filling the winter store: what is read, planned, accepted, and the yard's rules for autumn."""
