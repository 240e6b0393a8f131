"""The constraint model of a season, one file for each rule. Nothing else in the project imports ortools."""

from yard.planning.cpsat.solving import ModelInvalid, prove

__all__ = ["ModelInvalid", "prove"]
