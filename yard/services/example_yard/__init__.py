"""The example yard: invented boats and people on a real tide, the same rows for the same size and seed."""

from yard.services.example_yard.building import Built, Day, ExampleNotPlanned, build_example
from yard.services.example_yard.description import SIZES, Size
from yard.services.example_yard.wiping import ExampleRefused, is_example

__all__ = ["SIZES", "Built", "Day", "ExampleNotPlanned", "ExampleRefused", "Size", "build_example", "is_example"]
