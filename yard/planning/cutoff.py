"""What a proof may take for granted once a plan is had: only plans as cheap as it are worth looking for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Cutoff:
    """Plans that cost at most `cost` and leave nobody out.

    start_days: by job, the days (of the calendar) on which it can start in one of them; a job that is missing here can
    start on any.
    """

    cost: int
    start_days: Mapping[int, frozenset[int]] = field(default_factory=dict)
