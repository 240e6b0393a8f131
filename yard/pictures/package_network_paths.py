"""The longest way through a package, and which links a picture can leave out.

The critical path method: a forward pass gives each job its earliest start, a backward pass its latest; jobs
without float, joined by links without float, are critical (Kelley and Walker 1959; textbook method, from memory).
Time is work and waits alone: nights, meals, people and tides are the planner's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from yard.pictures.package_network_input import NetworkLink, PackageNetworkInput


@dataclass(frozen=True, slots=True)
class CriticalPath:
    """length_min: from the first start to the last end. starts_min, float_min: by key of job.

    jobs: the critical ones, in order of time; links: those between them that bind.
    """

    length_min: int
    starts_min: Mapping[str, int]
    float_min: Mapping[str, int]
    jobs: tuple[str, ...]
    links: frozenset[tuple[str, str]]


def critical_path(values: PackageNetworkInput) -> CriticalPath:
    """Earliest and latest starts of every job, minutes from the first start."""
    order = values.in_order()
    length = {job.key: job.minutes for job in values.jobs}
    starts = dict.fromkeys(order, 0)
    for key in order:
        for link in values.links:
            if link.before == key:
                starts[link.after] = max(starts[link.after], starts[key] + length[key] + link.wait_min)
    end = max((starts[key] + length[key] for key in order), default=0)
    latest = {key: end - length[key] for key in order}
    for key in reversed(order):
        for link in values.links:
            if link.before == key:
                latest[key] = min(latest[key], latest[link.after] - link.wait_min - length[key])
    spare = {key: latest[key] - starts[key] for key in order}
    binding = frozenset(
        (link.before, link.after)
        for link in values.links
        if spare[link.before] == spare[link.after] == 0
        and starts[link.before] + length[link.before] + link.wait_min == starts[link.after]
    )
    jobs = sorted((key for key in order if spare[key] == 0), key=lambda key: (starts[key], order.index(key)))
    return CriticalPath(end, starts, spare, tuple(jobs), binding)


def layers(values: PackageNetworkInput) -> dict[str, int]:
    """The layer of each job: the most links on any way to it (longest-path layering)."""
    layer = dict.fromkeys(values.in_order(), 0)
    for key in values.in_order():
        for link in values.links:
            if link.before == key:
                layer[link.after] = max(layer[link.after], layer[key] + 1)
    return layer


def links_to_draw(values: PackageNetworkInput, keep: frozenset[tuple[str, str]]) -> tuple[NetworkLink, ...]:
    """Links without those that say nothing new: no wait of their own, and another way joins the same two jobs."""
    after: dict[str, set[str]] = {job.key: set() for job in values.jobs}
    for link in values.links:
        after[link.before].add(link.after)
    return tuple(
        link
        for link in values.links
        if link.wait_min or link.words or (link.before, link.after) in keep or not _another_way(link, after)
    )


def _another_way(link: NetworkLink, after: Mapping[str, set[str]]) -> bool:
    seen: set[str] = set()
    ends = [key for key in after[link.before] if key != link.after]
    while ends:
        key = ends.pop()
        if key == link.after:
            return True
        if key not in seen:
            seen.add(key)
            ends.extend(after[key])
    return False
