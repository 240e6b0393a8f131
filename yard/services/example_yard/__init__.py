"""The example yard: invented boats and people on a real tide, the same rows for the same size and seed."""

from yard.services.example_yard.building import Built, ExampleRefused, build_example

__all__ = ["Built", "ExampleRefused", "build_example"]
