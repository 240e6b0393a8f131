"""What if: a copy of the season with one change, planned beside the season as it is."""

from yard.planning.what_if.beside import PlannedBeside, plan_beside
from yard.planning.what_if.changes import (
    Change,
    ChangeImpossible,
    DatesMoved,
    LongerHours,
    OneMorePerson,
    PlaceClosed,
    changed,
)
from yard.planning.what_if.figures import Figures, LateOrder, figures_of

__all__ = [
    "Change",
    "ChangeImpossible",
    "DatesMoved",
    "Figures",
    "LateOrder",
    "LongerHours",
    "OneMorePerson",
    "PlaceClosed",
    "PlannedBeside",
    "changed",
    "figures_of",
    "plan_beside",
]
