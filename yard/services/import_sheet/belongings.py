"""What a sheet says that stands beside its row: a boat's owner, a person's skills, licences and hours, tackle, where
a thing is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db.models import Model

from yard.models import (
    BoatOwner,
    Item,
    ItemWhereabouts,
    Owner,
    Person,
    PersonSkill,
    Place,
    Skill,
    StackMeasure,
    TacklePart,
    WeeklyHours,
    YardSettings,
)
from yard.queries.list_values import tackle_of
from yard.services.pen import insert, sign
from yard.sheets.columns import Value
from yard.sheets.entries import licence_said, one_line, tackle_said
from yard.sheets.words import SPOTS

Made = list[Any]
"""[name of the model, pk] of a row that was made beside another."""
Pairs = Sequence[tuple[Any, Mapping[str, Value]]]
Write = Callable[[Pairs, "Hand"], list[list[Made]]]
"""Rows that are on file now, each with what is to stand beside it."""


@dataclass(frozen=True)
class Hand:
    """Who writes, when, and the reason that the history gives."""

    by: User | None
    now: datetime
    reason: str

    def insert(self, rows: Sequence[Model]) -> None:
        """New rows of one model with their history."""
        insert(rows, by=self.by, now=self.now, reason=self.reason)

    def sign(self, row: Any) -> Any:
        """A row whose next change of history names this hand."""
        sign(row, by=self.by, now=self.now, reason=self.reason)
        return row


def by_refs(model: Any, refs: set[str]) -> dict[str, Any]:
    """Rows by the ref that sheets call them, n12 being the row of that number. One query."""
    numbers = [int(ref[1:]) for ref in refs if ref[:1] == "n" and ref[1:].isdecimal()]
    found: dict[str, Any] = {}
    for row in model._default_manager.filter(ref="", pk__in=numbers):
        found[f"n{row.pk}"] = row
    for row in model._default_manager.filter(ref__in=refs).exclude(ref=""):
        found[row.ref] = row
    return found


def write_owners(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """A boat without an owner gets hers, from today; the one who is called first."""
    zone = YardSettings.objects.values_list("time_zone", flat=True).first() or "UTC"
    today = hand.now.astimezone(ZoneInfo(zone)).date()
    owners = by_refs(Owner, {str(values["owner"]) for _, values in pairs if values["owner"]})
    rows = [
        BoatOwner(boat=boat, owner=owners[str(values["owner"])], starts_on=today, told_first=True)
        if values["owner"]
        else None
        for boat, values in pairs
    ]
    hand.insert([row for row in rows if row is not None])
    return [[["BoatOwner", row.pk]] if row is not None else [] for row in rows]


def write_skills(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """A person's skills and how well, as the sheet says them."""
    skills = {skill.key: skill for skill in Skill.objects.all()}
    fresh = []
    for person, values in pairs:
        told = {key: int(level) for key, level in (one.rsplit(" ", 1) for one in _several(values["skills"]))}
        for row in PersonSkill.objects.filter(person=person).select_related("skill"):
            level = told.pop(row.skill.key, None)
            if level is None:
                hand.sign(row).delete()
            elif row.level != level:
                row.level = level
                hand.sign(row).save()
        fresh += [PersonSkill(person=person, skill=skills[key], level=level) for key, level in told.items()]
    hand.insert(fresh)
    return [[] for _ in pairs]


def write_licences(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """What licences a person has for these skills; of a skill that the sheet does not name, none."""
    for person, values in pairs:
        told = dict(licence_fields(one) for one in _several(values["licences"]))
        for row in PersonSkill.objects.filter(person=person).select_related("skill"):
            licence, until = told.get(row.skill.key, ("", None))
            if (one_line(row.licence), row.licence_until) != (licence, until):
                row.licence, row.licence_until = licence, until
                hand.sign(row).save()
    return [[] for _ in pairs]


def write_tackle(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """The parts that lie at a mooring: what the sheet leaves out was taken up today, and stays on file as that."""
    zone = YardSettings.objects.values_list("time_zone", flat=True).first() or "UTC"
    today = hand.now.astimezone(ZoneInfo(zone)).date()
    for mooring, values in pairs:
        told = list(_several(values["parts"]))
        rows = TacklePart.objects.filter(mooring=mooring).order_by("taken_up_on", "id")
        for row in sorted(rows, key=lambda row: (row.taken_up_on is not None, row.pk)):
            said = str(tackle_of(row))
            lies = row.taken_up_on in (None, today) and said in told  # taken up today by a sheet: lies there again
            if lies:
                told.remove(said)
            elif row.taken_up_on is not None:
                continue
            up = None if lies else max(today, row.laid_on or today)
            if row.taken_up_on != up:
                row.taken_up_on = up
                hand.sign(row).save()
        hand.insert([TacklePart(mooring=mooring, **tackle_fields(one)) for one in told])
    return [[] for _ in pairs]


def licence_fields(said: str) -> tuple[str, tuple[str, date | None]]:
    """(key of the skill, (licence, last day)) of an entry as it is kept."""
    one = licence_said(said)
    return one.skill, (one.licence, date.fromisoformat(one.until) if one.until else None)


def tackle_fields(said: str) -> dict[str, Any]:
    """The fields of a part from an entry as it is kept."""
    one = tackle_said(said)
    return {
        "kind": one.kind,
        "size": one.size,
        "length_m": one.length_m,
        "laid_on": date.fromisoformat(one.laid_on) if one.laid_on else None,
        "inspected_on": date.fromisoformat(one.inspected_on) if one.inspected_on else None,
        "condition": one.condition,
        "note": one.note,
    }


def write_hours(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """A person's usual hours, as the sheet says them."""
    fresh = []
    for person, values in pairs:
        told = set(_several(values["hours"]))
        for row in WeeklyHours.objects.filter(person=person):
            key = f"{row.weekday} {row.starts:%H:%M} {row.ends:%H:%M}"
            if key in told:
                told.remove(key)
            else:
                hand.sign(row).delete()
        for day, starts, ends in (one.split() for one in sorted(told)):
            fresh.append(
                WeeklyHours(
                    person=person,
                    weekday=int(day),
                    starts=time.fromisoformat(starts),
                    ends=time.fromisoformat(ends),
                )
            )
    hand.insert(fresh)
    return [[] for _ in pairs]


def write_operators(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """Who works a place."""
    people = by_refs(Person, {ref for _, values in pairs for ref in _several(values["operators"])})
    for place, values in pairs:
        hand.sign(place).operators.set([people[ref] for ref in _several(values["operators"])])
    return [[] for _ in pairs]


def write_measure(key: str, field: str) -> Write:
    """What writes one measure of rows and racks; one that holds nothing yet gets its row of measures."""

    def write(pairs: Pairs, hand: Hand) -> list[list[Made]]:
        known = {row.place_id: row for row in StackMeasure.objects.filter(place__in=[place.pk for place, _ in pairs])}
        made: list[list[Made]] = []
        for place, values in pairs:
            row = known.get(place.pk)
            made.append([])
            if row is None and values[key] is None:
                continue
            new = row is None
            row = row or StackMeasure(place=place)
            setattr(row, field, values[key])
            hand.sign(row).save()
            made[-1] += [["StackMeasure", row.pk]] if new else []
        return made

    return write


def write_where(pairs: Pairs, hand: Hand) -> list[list[Made]]:
    """Where a thing is from now on; what is said of it before stays on file."""
    places = {place.ref: place for place in Place.objects.all()}
    kinds = {words: kind for kind, words in SPOTS.items()}
    latest = {
        row.item_id: row
        for row in ItemWhereabouts.objects.filter(item__in=[item.pk for item, _ in pairs]).order_by("since", "id")
    }
    rows: list[ItemWhereabouts | None] = []
    for item, values in pairs:
        where, last = values["where"], latest.get(item.pk)
        if not where:
            rows.append(None)
            continue
        rows.append(
            ItemWhereabouts(
                item=item,
                kind=kinds.get(str(where), ItemWhereabouts.Kind.PLACE),
                place=None if where in kinds else places[str(where)],
                condition=str(values["condition"] or ""),
                since=hand.now if last is None or last.since < hand.now else last.since + timedelta(microseconds=1),
                said_by=hand.by,
                note=hand.reason,
            )
        )
    ItemWhereabouts.objects.bulk_create([row for row in rows if row is not None], batch_size=200)
    return [[["ItemWhereabouts", row.pk]] if row is not None else [] for row in rows]


def _several(value: Value) -> Sequence[str]:
    return value if isinstance(value, list | tuple) else ()


SPECIAL: Mapping[str, Mapping[tuple[str, ...], Write]] = {
    "boats": {("owner",): write_owners},
    "people": {("skills",): write_skills, ("licences",): write_licences, ("hours",): write_hours},
    "moorings": {("parts",): write_tackle},
    "places": {
        ("operators",): write_operators,
        ("row_length_m",): write_measure("row_length_m", "length_m"),
        ("headroom_m",): write_measure("headroom_m", "height_m"),
    },
    "inventory": {("where", "condition"): write_where},
}
"""The columns that stand beside a list's rows, and what writes them."""
MADE: Mapping[str, Any] = {"BoatOwner": BoatOwner, "ItemWhereabouts": ItemWhereabouts, "Item": Item}
