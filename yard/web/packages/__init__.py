"""Packages changed on pages: forms, what they say, and what changed."""
