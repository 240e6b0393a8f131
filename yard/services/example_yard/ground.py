"""The ground of the example yard: settings, hours, holidays, seasons, people and places."""

from __future__ import annotations

from datetime import datetime, time

import msgspec

from yard.models import (
    DatedHours,
    Person,
    PersonSkill,
    Place,
    PlaceKind,
    ProductSheet,
    ProductWait,
    Season,
    ShopHours,
    Skill,
    WeeklyHours,
    YardHoliday,
    YardSettings,
)
from yard.services.example_yard.description import SIZES, Description, Size
from yard.services.example_yard.fleet import Fleet
from yard.services.example_yard.pen import Pen, next_day

MIDNIGHT = time()


def write_ground(about: Description, size: Size, fleet: Fleet, pen: Pen, *, at: datetime, clock: datetime) -> None:
    """Everything that stands before there is a boat. at: when it was entered; clock: what time it is in the yard."""
    pen.insert([YardSettings(clock_frozen_at=clock, **msgspec.to_builtins(about.yard.yard))], at)
    pen.insert(
        [
            ShopHours(weekday=weekday, starts=shop.starts, ends=shop.ends)
            for shop in about.yard.shop
            for weekday in shop.weekdays
        ],
        at,
    )
    pen.insert([YardHoliday(day=holiday.day, name=holiday.name) for holiday in about.yard.holiday], at)
    pen.insert([Season(name=row.name, starts_on=row.starts_on, ends_on=row.ends_on) for row in about.yard.season], at)
    _write_people(about, size, pen, at)
    _write_places(about, size, fleet, pen, at)
    _write_sheets(pen, at)


def _write_people(about: Description, size: Size, pen: Pen, at: datetime) -> None:
    skills = {skill.key: skill for skill in Skill.objects.all()}
    rows = about.people_of(size)
    people = pen.insert(
        [
            Person(
                name=row.name,
                short_name=row.short_name,
                phone=f"609-555-{180 + number:04d}",
                early_slide_min=row.early_slide_min,
                late_slide_min=row.late_slide_min,
                slides_per_week=row.slides_per_week,
                notes=row.notes,
            )
            for number, row in enumerate(rows)
        ],
        at,
    )
    contractors = [row for row in about.people.contractor if size in row.sizes]
    hired = pen.insert(
        [
            Person(name=row.name, short_name=row.short_name, contractor=True, usual_slip_days=row.usual_slip_days)
            for row in contractors
        ],
        at,
    )
    pen.insert(
        [
            PersonSkill(person=person, skill=skills[key], level=level)
            for person, levels in zip(
                [*people, *hired], [row.skills for row in rows] + [row.skills for row in contractors], strict=True
            )
            for key, level in levels.items()
        ],
        at,
    )
    pen.insert(
        [
            WeeklyHours(person=person, weekday=weekday, starts=starts, ends=ends)
            for person, row in zip(people, rows, strict=True)
            for weekday in range(6)
            for starts, ends in row.stretches(weekday)
        ],
        at,
    )
    pen.insert(_away(about, size, people, pen) + _agreed(about, hired, pen), at)


def _away(about: Description, size: Size, people: list[Person], pen: Pen) -> list[DatedHours]:
    return [
        DatedHours(
            person=person,
            kind=DatedHours.Kind.AWAY,
            starts_at=pen.moment(away.first, MIDNIGHT),
            ends_at=pen.moment(next_day(away.last), MIDNIGHT),
            reason=away.reason,
        )
        for person, row in zip(people, about.people_of(size), strict=True)
        for away in row.away
    ]


def _agreed(about: Description, hired: list[Person], pen: Pen) -> list[DatedHours]:
    dates = about.people.contractor_dates
    return [
        DatedHours(
            person=person,
            kind=DatedHours.Kind.HERE,
            starts_at=pen.moment(day, dates.starts),
            ends_at=pen.moment(day, dates.ends),
            reason="agreed",
        )
        for person in hired
        for day in dates.days
    ]


def _write_places(about: Description, size: Size, fleet: Fleet, pen: Pen, at: datetime) -> None:
    places = []
    for number, row in enumerate(about.yard.place):
        fields = msgspec.to_builtins(row)
        fields["capacity"] = row.capacity[SIZES.index(size)]
        fields["line_m"] = row.line_m[SIZES.index(size)] if row.line_m is not None else None
        fields["wind_limits"] = list(fields["wind_limits"])
        del fields["operators"]
        places.append(Place(sequence=number, **fields))
    store = about.yard.store
    places += [
        Place(
            ref=f"row-{number}",
            name=f"Row {number} of the store",
            short_name=f"row {number}",
            kind=PlaceKind.STORE_ROW,
            capacity=store.row_capacity[SIZES.index(size)],
            max_length_m=store.max_length_m,
            outdoor=True,
            sequence=100 + number,
        )
        for number in range(1, fleet.rows + 1)
    ]
    pen.insert(places, at)
    for place, row in zip(places, about.yard.place, strict=False):
        place.operators.set(Person.objects.filter(short_name__in=row.operators))


def _write_sheets(pen: Pen, at: datetime) -> None:
    """A paint's sheet, with the figures of an article, for a maker's own sheet is not ours to copy."""
    sheet = ProductSheet(
        kind="paint",
        name="Ablative bottom paint",
        max_wait_min=14 * 24 * 60,
        source="16 h at 70 F: Boating, June 2010; about 2 weeks out of the water: a marine retailer's paint guide",
        read_on=at.date(),
        notes="The maker's own data sheet decides.",
    )
    [sheet] = pen.insert([sheet], at)
    pen.insert([ProductWait(sheet=sheet, from_temp_c=21.0, min_wait_min=16 * 60)], at)
