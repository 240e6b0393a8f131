"""What the network of a package is drawn from: its jobs, and which follows which after what wait."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from yard.pictures.shapes import PictureValueError, TradeGroup


@dataclass(frozen=True, slots=True)
class NetworkJob:
    """A job. minutes: how long by the usual way; option: it is there by a choice, so it is drawn basted."""

    key: str
    name: str
    group: TradeGroup
    minutes: int
    hours: str
    option: bool = False

    def __post_init__(self) -> None:
        if self.minutes < 0:
            raise PictureValueError(f"minutes of {self.key}: a job takes no less than nothing, not {self.minutes}")


@dataclass(frozen=True, slots=True)
class NetworkLink:
    """`after` follows `before`, at least wait_min later. words: the wait as it is read; empty draws none."""

    before: str
    after: str
    wait_min: int = 0
    words: str = ""


@dataclass(frozen=True, slots=True)
class PackageNetworkInput:
    """jobs in the package's order; links between them. width: the least width of the picture."""

    jobs: tuple[NetworkJob, ...]
    links: tuple[NetworkLink, ...] = ()
    width: float = 640

    def __post_init__(self) -> None:
        twice = [key for key, count in Counter(job.key for job in self.jobs).items() if count > 1]
        if twice:
            raise PictureValueError(f"jobs: '{twice[0]}' stands twice")
        keys = {job.key for job in self.jobs}
        for link in self.links:
            if not {link.before, link.after} <= keys:
                raise PictureValueError(f"links: '{link.before}' before '{link.after}' names a job that is not there")
            if link.wait_min < 0:
                raise PictureValueError(f"links: '{link.before}' before '{link.after}' waits less than nothing")
        try:
            self.in_order()
        except CycleError as circle:
            raise PictureValueError(f"links: jobs wait in a circle: {', '.join(circle.args[1])}") from circle

    def in_order(self) -> list[str]:
        """Keys, each after those that it follows. Raises CycleError where jobs wait in a circle."""
        sorter = TopologicalSorter[str]({job.key: () for job in self.jobs})
        for link in self.links:
            sorter.add(link.after, link.before)
        return list(sorter.static_order())
