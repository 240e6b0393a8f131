"""The example yard's ground: settings, people with their hours, and places."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from yard.models import (
    DatedHours,
    Person,
    PersonSkill,
    Place,
    Season,
    ShopHours,
    Skill,
    WeeklyHours,
    YardHoliday,
    YardSettings,
)

FOLDER = settings.BASE_DIR / "fixtures" / "example"
YEAR = 2027
WEEKDAYS, SATURDAY = range(5), 5


@dataclass(frozen=True)
class Size:
    """How many boats, people and berths a size has."""

    boats: int
    people: int
    berths: int
    trailers: int = 1


SIZES = {"S": Size(25, 6, 4), "M": Size(100, 8, 6), "L": Size(300, 10, 10)}


def read_description() -> dict[str, Any]:
    return tomllib.loads((FOLDER / "yard.toml").read_text(encoding="utf-8"))


def write_settings(told: dict[str, Any], clock: datetime) -> YardSettings:
    yard, _ = YardSettings.objects.update_or_create(pk=1, defaults={**told["yard"], "clock_frozen_at": clock})
    Season.objects.create(name=f"Spring {YEAR}", starts_on=date(YEAR, 1, 1), ends_on=date(YEAR, 8, 1))
    # Days on which boat yards of the north-east are commonly shut: common practice.
    for day, name in [
        (date(YEAR, 1, 1), "New Year"),
        (date(YEAR, 5, 31), "Memorial Day"),
        (date(YEAR, 7, 5), "4 July"),
    ]:
        YardHoliday.objects.create(day=day, name=name)
    for weekday in WEEKDAYS:
        ShopHours.objects.create(weekday=weekday, starts=time(7), ends=time(16, 30))
    ShopHours.objects.create(weekday=SATURDAY, starts=time(7), ends=time(12))
    return yard


def write_people(told: dict[str, Any], size: Size) -> None:
    zone = ZoneInfo(told["yard"]["time_zone"])
    skills = {skill.key: skill for skill in Skill.objects.all()}
    for number, row in enumerate(told["person"][: size.people]):
        slides = row.get("slides", False)
        person = Person.objects.create(
            name=row["name"],
            short_name=row["name"],
            early_slide_min=90 if slides else 0,
            late_slide_min=90 if slides else 0,
            slides_per_week=2 if slides else 0,
        )
        _skills(person, row["skills"], skills)
        _week(person, row)
        _leave(person, number, zone)
    for row in told["contractor"]:
        person = Person.objects.create(name=row["name"], short_name=row["name"], contractor=True, usual_slip_days=3)
        _skills(person, row["skills"], skills)
        for text in row["days"]:
            month, day = (int(part) for part in text.split("-"))
            DatedHours.objects.create(
                person=person,
                kind=DatedHours.Kind.HERE,
                starts_at=_utc(date(YEAR, month, day), time(7), zone),
                ends_at=_utc(date(YEAR, month, day), time(15), zone),
                reason="agreed",
            )


def _skills(person: Person, levels: dict[str, int], skills: dict[str, Skill]) -> None:
    for key, level in levels.items():
        PersonSkill.objects.create(person=person, skill=skills[key], level=level)


def _week(person: Person, row: dict[str, Any]) -> None:
    meal = time.fromisoformat(row["meal"])
    after = (datetime.combine(date(YEAR, 1, 1), meal) + timedelta(minutes=30)).time()
    for weekday in WEEKDAYS:
        WeeklyHours.objects.create(person=person, weekday=weekday, starts=time(7), ends=meal)
        if not row.get("mornings"):
            WeeklyHours.objects.create(person=person, weekday=weekday, starts=after, ends=time(16, 30))
    if row.get("saturday"):
        WeeklyHours.objects.create(person=person, weekday=SATURDAY, starts=time(7), ends=time(12))


def _leave(person: Person, number: int, zone: ZoneInfo) -> None:
    """A week each, in February or March, and one day in June."""
    monday = date(YEAR, 2, 8) + timedelta(weeks=number % 6)
    for first, days, reason in [(monday, 5, "leave"), (date(YEAR, 6, 7) + timedelta(days=number), 1, "appointment")]:
        DatedHours.objects.create(
            person=person,
            kind=DatedHours.Kind.AWAY,
            starts_at=_utc(first, time(0), zone),
            ends_at=_utc(first + timedelta(days=days), time(0), zone),
            reason=reason,
        )


def write_places(told: dict[str, Any], size: Size) -> None:
    for number, row in enumerate(told["place"]):
        place = Place(sequence=number, **row)
        if place.kind == "berth":
            place.capacity = size.berths
        place.save()
    for number in range(-(-size.boats // 8)):
        Place.objects.create(
            ref=f"row-{number + 1}", name=f"Row {number + 1}", kind="store_row", capacity=8, sequence=100 + number
        )


def _utc(day: date, at: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
