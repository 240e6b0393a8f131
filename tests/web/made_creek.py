"""A yard on a made tide, with people and jobs made by hand, for the tests of pages.

The made tide is high at 00:00 (2 m) and 12:00 (3 m) and low (0 m) at 06:00 and 18:00 on the yard's clock, half a
cosine between. The ramp's toe at 0.25 m, a trailer of 0.5 m, a draft of 1.2 m and a margin of 0.3 m need 2.25 m,
which the tide passes at 10:00 and 14:00.
"""

from __future__ import annotations

import html
import re
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from django.utils import timezone

from yard.models import (
    Boat,
    Job,
    JobKind,
    Order,
    Person,
    Plan,
    PlannedJob,
    PlannedPerson,
    ShopHours,
    WeeklyHours,
    YardSettings,
)

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)  # Thu 6 May, 10:00 in New York
THURSDAY, FRIDAY, MONDAY = date(2027, 5, 6), date(2027, 5, 7), date(2027, 5, 10)
PARTS = [("load", 30, False), ("float off", 30, True), ("trailer back", 30, False)]
BACKEND = "yard.web.access.RoleBackend"


def make_creek(folder: Path) -> YardSettings:
    """The yard's settings and shop hours; the tide's table lies in the folder, which must be the current one."""
    rows = ["# name: Made Creek", "# zone: America/New_York", "# unit: m", "# datum: MLLW", "date,time,height,kind"]
    for step in range(120):
        day = date(2027, 4, 1) + timedelta(days=step)
        rows += [
            f"{day},{clock},{high},{kind}"
            for clock, high, kind in (
                ("00:00", 2, "high"),
                ("06:00", 0, "low"),
                ("12:00", 3, "high"),
                ("18:00", 0, "low"),
            )
        ]
    (folder / "made.csv").write_text("\n".join(rows) + "\n")
    for weekday in range(6):
        ShopHours.objects.create(weekday=weekday, starts=time(7), ends=time(15, 30))
    return YardSettings.objects.create(
        name="Tallow Creek Yard",
        time_zone="America/New_York",
        clock_frozen_at=NOW,
        units="metres",
        latitude=40.15,
        longitude=-74.7,
        tide_station="made.csv",
        datum="MLLW",
        ramp_toe_m_above_datum=0.25,
        trailer_height_m=0.5,
        margin_rising_m=0.3,
        margin_falling_m=0.3,
    )


def at(day: date, clock: str) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.fromisoformat(clock)))


def text_of(answer) -> str:
    """What is read in the page's main part: tags away, spaces joined."""
    body = answer.content.decode().partition("<main")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())


def post(number: int = 7) -> Plan:
    return Plan.objects.create(number=number, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)


def kind(key: str, **more) -> JobKind:
    values = {"name": key.title(), "short_name": key[:8], "letter": key[0].upper(), "trade": "rig"}
    return JobKind.objects.get_or_create(key=key, defaults=values | more)[0]


def person(name: str, *, starts: str = "08:00", ends: str = "16:00", weekdays: range = range(5)) -> Person:
    """Somebody with the same hours on each of these weekdays."""
    who = Person.objects.create(short_name=name, name=f"{name} Reed")
    for weekday in weekdays:
        WeeklyHours.objects.create(
            person=who, weekday=weekday, starts=time.fromisoformat(starts), ends=time.fromisoformat(ends)
        )
    return who


def job(plan: Plan, boat: str, name: str, day: date, starts: str, ends: str, *people: Person, **more) -> PlannedJob:
    """A planned job on a boat. more: fields of the job, as its state, and `pausing` of its kind."""
    hull, _ = Boat.objects.get_or_create(ref=boat.lower(), defaults={"name": boat, "length_m": 7, "beam_m": 2})
    order, _ = Order.objects.get_or_create(ref=f"O-{boat}", defaults={"boat": hull, "name": "Spring", "made_at": NOW})
    pausing = more.pop("pausing", "fitted")
    until = more.pop("until", day)
    key = f"{name.lower()}-{order.jobs.count()}"
    row = Job.objects.create(
        order=order, kind=kind(f"{name.lower()}-{pausing}", pausing=pausing), key=key, name=name, **more
    )
    planned = PlannedJob.objects.create(plan=plan, job=row, starts_at=at(day, starts), ends_at=at(until, ends))
    for who in people:
        PlannedPerson.objects.create(planned_job=planned, person=who, name=who.short_name)
    return planned


def launch(plan: Plan, boat: str, day: date, clock: str, *people: Person, draft_m: float | None = 1.2) -> PlannedJob:
    """A launch that begins to load at that time, floats off half an hour later and takes an hour and a half."""
    starts = at(day, clock)
    planned = job(
        plan,
        boat,
        "Launch",
        day,
        clock,
        f"{(starts + timedelta(minutes=90)).strftime('%H:%M')}",
        *people,
        water_need="ramp",
        cautions="Nobody between boat and trailer.",
    )
    Boat.objects.filter(name=boat).update(draft_m=draft_m)
    parts, begins = [], starts
    for word, minutes, water in PARTS:
        ends = begins + timedelta(minutes=minutes)
        parts.append({"name": word, "starts_at": begins.isoformat(), "ends_at": ends.isoformat(), "water": water})
        begins = ends
    planned.part_times = parts
    planned.save()
    return planned
