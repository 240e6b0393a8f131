"""Every shipped package with every choice of its options, as plain networks; shares nothing with the loader."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, combinations
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "packages"


def table(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


KINDS = {kind["key"]: kind for kind in table("kinds")["kind"]}
PACKAGES = sorted(path.stem for path in FOLDER.glob("*.toml") if path.stem != "kinds")


@dataclass(frozen=True)
class Choice:
    """One package with one choice of options. links: (before, after, least, longest or None), minutes."""

    name: str
    options: frozenset[str]
    jobs: dict[str, dict[str, Any]]
    links: list[tuple[str, str, int, int | None]]


def choices(name: str) -> Iterator[Choice]:
    """Each set of options, and covers gating the delivery or not."""
    package = table(name)
    keys = [option["key"] for option in package.get("option", [])]
    for chosen in chain.from_iterable(combinations(keys, n) for n in range(len(keys) + 1)):
        for gate in (False, True):
            yield _choice(name, package, frozenset(chosen), gate)


def _choice(name: str, package: dict[str, Any], options: frozenset[str], gate: bool) -> Choice:
    jobs = {job["key"]: job for job in package["job"] if job.get("option", "") in {"", *options}}
    links = [(before, job["key"], 0, None) for job in jobs.values() for before in job.get("after", [])]
    for link in package.get("link", []):
        wanted = link.get("option", "") in {"", *options} and link.get("unless_option") not in options
        if wanted and (gate or not link.get("only_if_covers_gate")):
            links.append((link["before"], link["after"], link.get("min_wait_min", 0), link.get("max_wait_min")))
    return Choice(name, options, jobs, [link for link in links if link[0] in jobs and link[1] in jobs])


def earliest_starts(choice: Choice) -> dict[str, int] | None:
    """Earliest starts in minutes that keep every wait, least and longest; None if there are none.

    A simple temporal network, relaxed as often as it has jobs and once more (Bellman and Ford): if anything still
    moves then, jobs go round in a circle or a longest wait cannot be kept. Textbook method, from memory.
    """
    length = {key: min(way["minutes"] for way in job["ways"]) for key, job in choice.jobs.items()}
    start = dict.fromkeys(choice.jobs, 0)
    for _ in range(len(start) + 1):
        moved = False
        for before, after, least, longest in choice.links:
            ready = start[before] + length[before] + least
            if start[after] < ready:
                start[after], moved = ready, True
            if longest is not None and start[before] < start[after] - longest - length[before]:
                start[before], moved = start[after] - longest - length[before], True
        if not moved:
            return start
    return None


def follows(choice: Choice, first: str, then: str) -> bool:
    """Whether one job comes after another by the links."""
    reached, ends = set(), [first]
    while ends:
        here = ends.pop()
        for before, after, _, _ in choice.links:
            if before == here and after not in reached:
                reached.add(after)
                ends.append(after)
    return then in reached
