"""What two editions of a package differ in, in the yard's words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import msgspec
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Package, PackageEdition, Skill, WaterNeed, WeatherClass
from yard.queries.accounts import called
from yard.services.package_differences import Difference, differences
from yard.services.package_editions import file_of
from yard.services.package_files import Fact, Job, Link, PackageFile, Stay, Way
from yard.web.orders.words import between_words, crew_words, hours_words, or_words, place_words

SHOWN = 20
NAMES = {
    "name": gettext_lazy("name"),
    "summary": gettext_lazy("summary"),
    "source": gettext_lazy("source"),
    "cautions": gettext_lazy("cautions"),
    "kind": gettext_lazy("kind"),
    "when": gettext_lazy("when"),
    "light": gettext_lazy("light"),
    "option": gettext_lazy("option"),
    "split_of": gettext_lazy("later part of"),
    "waits_for_open": gettext_lazy("follows other orders' work"),
    "water_need": gettext_lazy("water"),
    "weather_class": gettext_lazy("weather"),
    "finish_by": gettext_lazy("finished each year by"),
    "on_fixed_date": gettext_lazy("at the fixed date"),
    "on_by_default": gettext_lazy("on unless told"),
    "on_if_planked": gettext_lazy("on for a planked hull"),
    "default_days": gettext_lazy("expected, days after ordering"),
    "of_boat": gettext_lazy("one for all her orders"),
    "needs_boat": gettext_lazy("work on a boat"),
}
CODES = {
    "spring": gettext_lazy("spring"),
    "autumn": gettext_lazy("autumn"),
    "any": gettext_lazy("any"),
    "needed": gettext_lazy("needed"),
    "not_needed": gettext_lazy("not needed"),
}
"""When a package is usual, and whether a job needs light, in words."""


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
            who=called(row.made_by, nobody=_("the yard")),
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
            return _("The jobs stand in another order")
        case "ways" if isinstance(one, Job) and isinstance(two, Job):
            return f"{two.name}: {ways_words(one.ways, skills)} → {ways_words(two.ways, skills)}"
        case "link":
            pair = _("{job} after {before}").format(
                job=names.get(found.key[1], found.key[1]), before=names.get(found.key[0], found.key[0])
            )
            return _came_or_went(pair, one, two) or f"{pair}: {_link(one)} → {_link(two)}"
        case "stay":
            stay = two or one
            assert isinstance(stay, Stay)
            words = _("{place} from {first} until {last}").format(
                place=place_words([stay.place_kind]), first=names[stay.from_job], last=names[stay.until_job]
            )
            return _came_or_went(words, one, two) or _("{what}: changed").format(what=words)
    name = str(getattr(two or one, "name", ""))
    return _came_or_went(name, one, two) or f"{name}: {_fields(one, two)}"


def _came_or_went(name: str, one: Any, two: Any) -> str:
    if one is None:
        return _("{what}: new").format(what=name)
    return _("{what}: gone").format(what=name) if two is None else ""


def ways_words(ways: tuple[Way, ...], skills: Mapping[str, str]) -> str:
    return or_words(
        [
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
        ]
    )


def _link(link: Any) -> str:
    assert isinstance(link, Link)
    parts = [
        between_words(link.min_wait_min, link.max_wait_min) or _("no wait"),
        _("only where covers gate") if link.only_if_covers_gate else "",
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
    ) or (_("other jobs wait on it") if isinstance(two, Fact) else _("changed"))


def _said(name: str, value: Any) -> str:
    if value is None or value == "" or value == ():
        return _("nothing")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if name in ("when", "light"):
        return str(CODES.get(value, value))
    if name == "water_need":
        return str(WaterNeed(value).label)
    if name == "weather_class":
        return str(WeatherClass(value).label)
    if isinstance(value, tuple):
        return ", ".join(str(each).replace("_", " ") for each in value)
    return f"“{value}”" if name in ("name", "summary", "source", "cautions") else str(value).replace("_", " ")
