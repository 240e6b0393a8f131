"""What two editions of a package differ in, in the yard's words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import msgspec

from yard.models import Package, PackageEdition, Skill, WaterNeed, WeatherClass
from yard.queries.accounts import called
from yard.services.package_differences import Difference, differences
from yard.services.package_editions import file_of
from yard.services.package_files import Fact, Job, Link, PackageFile, Stay, Way
from yard.web.orders.words import between_words, crew_words, hours_words, place_words

SHOWN = 20
NAMES = {
    "split_of": "later part of",
    "waits_for_open": "follows other orders' work",
    "water_need": "water",
    "weather_class": "weather",
    "finish_by": "finished each year by",
    "on_fixed_date": "at the fixed date",
    "on_by_default": "on unless told",
    "on_if_planked": "on for a planked hull",
    "default_days": "expected, days after ordering",
    "of_boat": "one for all her orders",
    "needs_boat": "work on a boat",
}


@dataclass(frozen=True)
class EditionRow:
    """One edition: what changed with it. way_back: whether it is other than what stands."""

    edition: PackageEdition
    at: datetime
    who: str
    changes: tuple[str, ...]
    way_back: bool


def editions_of(package: Package) -> tuple[EditionRow, ...]:
    """The last twenty editions, the newest first. Two queries."""
    rows = list(package.editions.select_related("made_by").order_by("-number")[: SHOWN + 1])
    skills = dict(Skill.objects.values_list("key", "name"))
    files = [file_of(row) for row in rows]
    before = [*files[1:], None]
    return tuple(
        EditionRow(
            edition=row,
            at=row.made_at,
            who=called(row.made_by, nobody="the yard"),
            changes=changes_in_words(was, file, skills) if was else (),
            way_back=file != files[0],
        )
        for row, file, was in zip(rows, files, before, strict=True)
    )[:SHOWN]


def changes_in_words(was: PackageFile, now: PackageFile, skills: Mapping[str, str]) -> tuple[str, ...]:
    names = {job.key: job.name for job in (*was.job, *now.job)}
    return tuple(in_words(each, names, skills) for each in differences(was, now))


def in_words(found: Difference, names: Mapping[str, str], skills: Mapping[str, str]) -> str:
    """ "Wash: 3 h, 1 × yard hand → 4 h, 1 × yard hand". names: of the jobs, by key."""
    one, two = found.was, found.now
    match found.part:
        case "order":
            return "The jobs stand in another order"
        case "ways" if isinstance(one, Job) and isinstance(two, Job):
            return f"{two.name}: {ways_words(one.ways, skills)} → {ways_words(two.ways, skills)}"
        case "link":
            pair = f"{names.get(found.key[1], found.key[1])} after {names.get(found.key[0], found.key[0])}"
            return _came_or_went(pair, one, two) or f"{pair}: {_link(one)} → {_link(two)}"
        case "stay":
            stay = two or one
            assert isinstance(stay, Stay)
            words = f"{place_words([stay.place_kind])} from {names[stay.from_job]} until {names[stay.until_job]}"
            return _came_or_went(words, one, two) or f"{words}: changed"
    name = str(getattr(two or one, "name", ""))
    return _came_or_went(name, one, two) or f"{name}: {_fields(one, two)}"


def _came_or_went(name: str, one: Any, two: Any) -> str:
    return f"{name}: new" if one is None else f"{name}: gone" if two is None else ""


def ways_words(ways: tuple[Way, ...], skills: Mapping[str, str]) -> str:
    return " or ".join(
        ", ".join(
            each
            for each in (
                hours_words(way.minutes),
                crew_words(msgspec.to_builtins(way.crew), skills) if way.crew else "",
                place_words(way.places),
            )
            if each
        )
        for way in ways
    )


def _link(link: Any) -> str:
    assert isinstance(link, Link)
    parts = [
        between_words(link.min_wait_min, link.max_wait_min) or "no wait",
        "only where covers gate" if link.only_if_covers_gate else "",
        link.reason,
        link.source,
    ]
    return ", ".join(each for each in parts if each)


def _fields(one: Any, two: Any) -> str:
    return "; ".join(
        f"{NAMES.get(name, name.replace('_', ' '))}"
        f" {_said(name, getattr(one, name))} → {_said(name, getattr(two, name))}"
        for name in two.__struct_fields__
        if name not in ("ways", "jobs") and getattr(one, name) != getattr(two, name)
    ) or ("other jobs wait on it" if isinstance(two, Fact) else "changed")


def _said(name: str, value: Any) -> str:
    if value is None or value == "" or value == ():
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name == "water_need":
        return str(WaterNeed(value).label)
    if name == "weather_class":
        return str(WeatherClass(value).label)
    if isinstance(value, tuple):
        return ", ".join(str(each).replace("_", " ") for each in value)
    return f"“{value}”" if name in ("name", "summary", "source", "cautions") else str(value).replace("_", " ")
