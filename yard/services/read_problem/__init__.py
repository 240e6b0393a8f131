"""Read the yard's rows into one immutable Problem: all open work, as the facts stand at one moment."""

from yard.services.read_problem.axis import Axis, YardNotReady
from yard.services.read_problem.jobs import Held
from yard.services.read_problem.one_more import read_one_more
from yard.services.read_problem.reading import Kept, ReadProblem, read_and_keep, read_problem
from yard.services.read_problem.water import WaterLevel, WaterUnknown, level_for, tide_at

__all__ = [
    "Axis",
    "Held",
    "Kept",
    "ReadProblem",
    "WaterLevel",
    "WaterUnknown",
    "YardNotReady",
    "level_for",
    "read_and_keep",
    "read_one_more",
    "read_problem",
    "tide_at",
]
