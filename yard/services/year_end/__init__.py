"""Year's end: what would be carried, asked for, carried out in the worker, taken back; a closed season opened again."""

from yard.services.year_end.carry import ask_for_end, carry_out, go_on
from yard.services.year_end.choices import Choices, YearEndRefused
from yard.services.year_end.open_again import open_again
from yard.services.year_end.preview import Obstacle, OpenOrder, Preview, preview_of
from yard.services.year_end.take_back import take_back_end

__all__ = [
    "Choices",
    "Obstacle",
    "OpenOrder",
    "Preview",
    "YearEndRefused",
    "ask_for_end",
    "carry_out",
    "go_on",
    "open_again",
    "preview_of",
    "take_back_end",
]
