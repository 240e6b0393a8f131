"""The boats of the example yard, whose they are, where they stand and which mooring is theirs: drawn from a seed."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Literal

from yard.services.example_yard.description import SIZES, Description, Design, Size

DEEPEST_M = 1.82
"""The deepest draft the yard takes: 6 ft; with the ramp and the margin she misses neaps."""

Kept = Literal["commissioned", "loft", "new", "idle"]
"""commissioned: in the store, launched in spring. loft: lies elsewhere, only the loft knows her. new: leaves by road.
idle: stands in the store, and her owner has ordered nothing yet."""


IN_THE_STORE: tuple[Kept, ...] = ("commissioned", "idle")


@dataclass(frozen=True, kw_only=True)
class DrawnBoat:
    """A boat; index is her place in the fleet. draft_m None: nobody has measured it."""

    index: int
    ref: str
    name: str
    design: Design
    length_m: float
    beam_m: float
    draft_m: float | None
    displacement_kg: float
    in_a_storm: str
    kept: Kept

    @property
    def has_mast(self) -> bool:
        return self.design.mast_height_m is not None


@dataclass(frozen=True, kw_only=True)
class DrawnOwner:
    """boats: indices of the fleet."""

    name: str
    phone: str
    email: str
    prefers: str
    boats: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class DrawnMooring:
    """boat: whose permit it is; None for the yard's own, lent while a mooring is not ready.

    depth_m, shoalest_m: at datum. permit_renewed: for this year, in January already.
    """

    ref: str
    boat: int | None
    latitude: float
    longitude: float
    depth_m: float
    shoalest_m: float
    chain_m: float
    pendant_m: float
    permit_renewed: bool


@dataclass(frozen=True)
class Fleet:
    """rows: how many rows the winter store has."""

    boats: tuple[DrawnBoat, ...]
    owners: tuple[DrawnOwner, ...]
    moorings: tuple[DrawnMooring, ...]
    rows: int


def draw_fleet(about: Description, size: Size, rng: random.Random) -> Fleet:
    """The same fleet for the same generator."""
    boats = _boats(about, size, rng)
    stored = sum(boat.kept in IN_THE_STORE for boat in boats)
    rows = -(-stored // row_capacity(about, size))
    return Fleet(boats, _owners(about, boats, rng), _moorings(about, size, boats, rng), rows)


def _boats(about: Description, size: Size, rng: random.Random) -> tuple[DrawnBoat, ...]:
    counts = about.season.size[size]
    names = _names(about, counts.boats, rng)
    kept = _kept(about, size, rng)
    unknown = set(rng.sample([i for i, how in enumerate(kept) if how == "commissioned"], counts.unknown_drafts))
    boats = []
    for index, name in enumerate(names):
        design = _design(about, kept[index], rng)
        stretch = rng.uniform(0.97, 1.03)
        draft = min(DEEPEST_M, round(design.draft_m * rng.uniform(0.95, 1.05), 2))
        boats.append(
            DrawnBoat(
                index=index,
                ref=name.lower().replace(" ", "-"),
                name=name,
                design=design,
                length_m=round(design.length_m * stretch, 2),
                beam_m=round(design.beam_m * stretch, 2),
                draft_m=None if index in unknown else draft,
                displacement_kg=round(design.displacement_kg * stretch**3, -1),
                in_a_storm=rng.choices(["ask", "haul", "strip", "double"], [4, 2, 2, 2])[0],
                kept=kept[index],
            )
        )
    return tuple(boats)


def _names(about: Description, count: int, rng: random.Random) -> list[str]:
    singles = list(about.names.boats)
    pairs = [f"{one} {two}" for one in about.names.boat_adjectives for two in about.names.boat_nouns]
    rng.shuffle(singles)
    rng.shuffle(pairs)
    return [*singles, *pairs][:count]


def _kept(about: Description, size: Size, rng: random.Random) -> list[Kept]:
    counts = about.season.size[size]
    commissioned = round(counts.boats * counts.commissioned)
    loft = round(counts.boats * counts.loft_only)
    idle = counts.boats - commissioned - loft - counts.new_boats
    shares: tuple[tuple[Kept, int], ...] = (
        ("commissioned", commissioned),
        ("loft", loft),
        ("new", counts.new_boats),
        ("idle", idle),
    )
    kept = [how for how, count in shares for _ in range(count)]
    rng.shuffle(kept)
    return kept


def _design(about: Description, kept: Kept, rng: random.Random) -> Design:
    """A new boat that leaves by road is a light one; the loft's customers have sails."""
    fitting = [
        design
        for design in about.designs
        if (kept != "new" or design.design.startswith("Daysailer"))
        and (kept != "loft" or design.mast_height_m is not None)
    ]
    return rng.choices(fitting, [design.share for design in fitting])[0]


def _owners(about: Description, boats: tuple[DrawnBoat, ...], rng: random.Random) -> tuple[DrawnOwner, ...]:
    """One owner in twelve has two boats."""
    pairs = [(first, last) for first in about.names.first_names for last in about.names.last_names]
    rng.shuffle(pairs)
    owners: list[DrawnOwner] = []
    at = 0
    while at < len(boats):
        first, last = pairs[len(owners)]
        count = 2 if rng.random() < 1 / 12 else 1
        owners.append(
            DrawnOwner(
                name=f"{first} {last}",
                phone=f"609-555-{100 + len(owners) % 100:04d}",
                email=f"{first}.{last}@example.org".lower() if rng.random() < 0.85 else "",
                prefers=rng.choices(["call", "text", "email", "letter"], [4, 3, 4, 1])[0],
                boats=tuple(range(at, min(at + count, len(boats)))),
            )
        )
        at += count
    return tuple(owners)


def _moorings(
    about: Description, size: Size, boats: tuple[DrawnBoat, ...], rng: random.Random
) -> tuple[DrawnMooring, ...]:
    """One for each boat that is launched, and a few of the yard's own; deep boats lie where there is more water."""
    counts = about.season.size[size]
    wanted = [*(boat for boat in boats if boat.kept == "commissioned"), *[None] * counts.temporary_moorings]
    found = []
    for number, boat in enumerate(wanted, start=1):
        deep = boat is None or boat.draft_m is None or boat.draft_m > 1.2
        depth = round(rng.uniform(1.6, 3.2) if deep else rng.uniform(0.6, 1.8), 2)
        shoalest = min(depth, round(rng.uniform(0.0, 0.6) if deep else rng.uniform(-0.6, 0.2), 2))
        found.append(
            DrawnMooring(
                ref=f"m{number:03d}"
                if boat is not None
                else f"yard-{number - len(wanted) + counts.temporary_moorings}",
                boat=boat.index if boat is not None else None,
                latitude=round(about.yard.yard.latitude - 0.004 + 0.00035 * (number % 18), 6),
                longitude=round(about.yard.yard.longitude + 0.003 + 0.00040 * (number // 18), 6),
                depth_m=depth,
                shoalest_m=shoalest,
                chain_m=round(rng.uniform(4.0, 8.0), 1),
                pendant_m=round(rng.uniform(3.0, 5.5), 1),
                permit_renewed=rng.random() < 0.62,
            )
        )
    return tuple(found)


def row_capacity(about: Description, size: Size) -> int:
    return about.yard.store.row_capacity[SIZES.index(size)]
