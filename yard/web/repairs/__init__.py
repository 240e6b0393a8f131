"""Repair lists on their pages."""
