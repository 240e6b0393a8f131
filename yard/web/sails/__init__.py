"""Sails: what lies damp, what is to be washed in winter, and one sail's history."""
