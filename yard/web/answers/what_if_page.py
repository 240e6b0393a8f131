"""A what-if beside the season as it is: late boats, days, load by skill and week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import Order, Skill, WhatIf
from yard.pictures.load_weeks import UsePicture, UseRow, WeekHead, WeekUse, lay_out_head, lay_out_row

LEAST_WEEKS = 8


@dataclass(frozen=True)
class Compared:
    """One figure of the posted plan (None where none hung), of the season planned again, and of the changed one."""

    name: str
    posted: int | None
    same: int
    changed: int

    @property
    def difference(self) -> int:
        return self.changed - self.same

    @property
    def words(self) -> str:
        if not self.difference:
            return _("no difference")
        words = _("{n} more") if self.difference > 0 else _("{n} fewer")
        return words.format(n=abs(self.difference))


@dataclass(frozen=True)
class Moved:
    """An order that is late in one of the two, with its working days late in both; out: it has no place there."""

    order: Order
    same: int
    changed: int
    same_out: bool
    changed_out: bool

    @property
    def words(self) -> str:
        if self.same and not self.changed and not self.changed_out:
            return _("on time by it")
        if not self.same and not self.same_out:
            return _("late by it")
        days = abs(self.changed - self.same)
        if not days:
            return _("as late")
        if self.changed > self.same:
            return ngettext("{n} working day later", "{n} working days later", days).format(n=days)
        return ngettext("{n} working day sooner", "{n} working days sooner", days).format(n=days)


@dataclass(frozen=True)
class SkillPair:
    """totals: [used, usable] in hours of each season."""

    label: str
    same: UsePicture
    changed: UsePicture
    same_hours: tuple[float, float]
    changed_hours: tuple[float, float]
    same_full: int
    changed_full: int


@dataclass(frozen=True)
class WhatIfPage:
    verdict: str
    lines: tuple[Compared, ...]
    moved: tuple[Moved, ...]
    head: WeekHead
    skills: tuple[SkillPair, ...]


def what_if_page(row: WhatIf) -> WhatIfPage | None:
    """None while it is not planned. Two queries."""
    if not row.figures:
        return None
    posted, same, changed = (row.figures[name] for name in ("posted", "same", "changed"))
    lines = (
        _line(_("Orders late"), posted, same, changed, lambda side: len(side["late"])),
        _line(_("Days late, by who goes first"), posted, same, changed, lambda side: side["weighted_days_late"]),
        _line(_("Days of flow"), posted, same, changed, lambda side: side["days_of_flow"]),
        _line(_("Boats left out"), posted, same, changed, lambda side: side["left_out"]),
        _line(_("Cost"), posted, same, changed, lambda side: side["cost"]),
    )
    last = _last_used(same, changed)
    mondays = tuple(date.fromisoformat(day) for day in same["weeks"][:last])
    return WhatIfPage(
        _verdict(lines), lines, _moved(same, changed), lay_out_head(mondays), _skills(same, changed, mondays)
    )


def _line(name: str, posted: Any, same: Any, changed: Any, of: Any) -> Compared:
    return Compared(name, None if posted is None else of(posted), of(same), of(changed))


def _verdict(lines: tuple[Compared, ...]) -> str:
    late, days = lines[0], lines[1]
    if not late.difference and not days.difference:
        return _("It changes nothing for the dates: as many orders late, by as many days.")
    orders = _("{n} more orders late") if late.difference > 0 else _("{n} fewer orders late")
    sums = _("{n} more days late") if days.difference > 0 else _("{n} fewer days late")
    told = [words.format(n=abs(n)) for words, n in ((orders, late.difference), (sums, days.difference)) if n]
    if len(told) == 1:
        return _("{what}, in plans that had the same time.").format(what=told[0])
    return _("{first} and {second}, in plans that had the same time.").format(first=told[0], second=told[1])


def _last_used(same: Any, changed: Any) -> int:
    used = [n for side in (same, changed) for n, (hours, _usable) in enumerate(side["everybody"], 1) if hours]
    return max([LEAST_WEEKS, *used])


def _moved(same: Any, changed: Any) -> tuple[Moved, ...]:
    """The orders for which it makes the most difference first."""
    one, two = ({pk: (days, out) for pk, days, out in side["late"]} for side in (same, changed))
    orders = Order.objects.select_related("boat").in_bulk([*one, *two])
    none = (0, False)
    rows = [
        Moved(order, one.get(pk, none)[0], two.get(pk, none)[0], one.get(pk, none)[1], two.get(pk, none)[1])
        for pk, order in orders.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-abs(row.changed - row.same), -row.same, row.order.pk)))


def _skills(same: Any, changed: Any, mondays: tuple[date, ...]) -> tuple[SkillPair, ...]:
    names = dict(Skill.objects.values_list("key", "name"))
    keys = [key for key in same["skills"] if " for " not in key and any(used for used, _usable in same["skills"][key])]
    rows = [(_("Everybody"), same["everybody"], changed["everybody"])]
    rows += [(names.get(key, key), same["skills"][key], changed["skills"].get(key, [])) for key in keys]
    return tuple(_pair(label, one, two, mondays) for label, one, two in rows)


def _pair(label: str, one: Any, two: Any, mondays: tuple[date, ...]) -> SkillPair:
    sides = []
    for cells in (one, two):
        weeks = tuple(WeekUse(day, *cell) for day, cell in zip(mondays, cells, strict=False))
        hours = (sum(week.used for week in weeks), sum(week.usable for week in weeks))
        sides.append((lay_out_row(UseRow(label, _("hours"), weeks)), hours, sum(week.is_full for week in weeks)))
    (same, same_hours, same_full), (changed, changed_hours, changed_full) = sides
    return SkillPair(label, same, changed, same_hours, changed_hours, same_full, changed_full)
