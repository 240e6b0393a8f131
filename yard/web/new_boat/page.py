"""Pages of options sheets: the sheet, choosing with its sums, what was chosen for a boat, and her trip."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from yard.models import Material, OptionSheet, Order, Purchase, SheetChoice
from yard.services.new_boat import Sums, faults_of, sheet_of, sums_of
from yard.services.new_boat.sheet_values import OptionValue, SheetFile
from yard.services.order_package import chosen_jobs
from yard.web.boats.words import hours_words
from yard.web.new_boat.lines import quantity_words
from yard.web.when.page import Answer


@dataclass(frozen=True)
class OptionLine:
    """One option on a page. told: what it needs and excludes, in words. more: hours of its own."""

    option: OptionValue
    chosen: bool
    told: str
    more: str


@dataclass(frozen=True)
class Group:
    """name: "" for options without one. one_of: exactly one of it is chosen."""

    name: str
    one_of: bool
    lines: tuple[OptionLine, ...]


@dataclass(frozen=True)
class Used:
    name: str
    quantity: str


@dataclass(frozen=True)
class SheetPage:
    """A sheet with what is chosen on it. jobs: names of the jobs that this makes; hours: of hands, by the estimates."""

    row: OptionSheet
    sheet: SheetFile
    groups: tuple[Group, ...]
    sums: Sums
    faults: tuple[str, ...]
    materials: tuple[Used, ...]
    jobs: tuple[str, ...]
    hours: str
    answer: Answer | None = None


def sheet_page(row: OptionSheet, keys: Collection[str], *, answer: Answer | None = None) -> SheetPage:
    sheet = sheet_of(row)
    sums = sums_of(sheet, keys)
    jobs, minutes = _work(row, sums)
    return SheetPage(
        row=row,
        sheet=sheet,
        groups=_groups(sheet, keys),
        sums=sums,
        faults=faults_of(sheet, keys),
        materials=_used(sums),
        jobs=jobs,
        hours=hours_words(minutes),
        answer=answer,
    )


def _work(row: OptionSheet, sums: Sums) -> tuple[tuple[str, ...], int]:
    """Names of the jobs, and the minutes of all hands on them in their usual way."""
    names, minutes = [], 0
    for job in chosen_jobs(row.package, sums.brings):
        names.append(job.name)
        way = next(iter(job.ways.all()), None)
        if way is not None:
            hands = sum(int(each.get("count", 1)) for each in way.crew) or 1
            minutes += hands * max(0, way.duration_min + sums.minutes.get(job.key, 0))
    return tuple(names), minutes


def _groups(sheet: SheetFile, keys: Collection[str]) -> tuple[Group, ...]:
    names = {each.key: each.name for each in sheet.option}
    order = list(dict.fromkeys(each.group for each in sheet.option))
    return tuple(
        Group(
            name,
            name in sheet.sheet.one_of,
            tuple(_line(each, names, each.key in keys) for each in sheet.option if each.group == name),
        )
        for name in order
    )


def _line(option: OptionValue, names: dict[str, str], chosen: bool) -> OptionLine:
    needs = [names[key] for key in option.needs if key in names]
    excludes = [names[key] for key in option.excludes if key in names]
    told = [_("needs {options}").format(options=", ".join(needs))] if needs else []
    told += [_("not with {options}").format(options=", ".join(excludes))] if excludes else []
    minutes = sum(line.minutes for line in option.hours)
    return OptionLine(option, chosen, "; ".join(told), hours_words(minutes) if minutes > 0 else "")


def _used(sums: Sums) -> tuple[Used, ...]:
    counted = {row.name: row.is_counted for row in Material.objects.filter(name__in=sums.materials)}
    return tuple(
        Used(name, quantity_words(quantity, counted=counted.get(name, True)))
        for name, quantity in sorted(sums.materials.items())
    )


@dataclass(frozen=True)
class PriceLine:
    name: str
    group: str
    price: Decimal


@dataclass(frozen=True)
class ChoicePage:
    """What was chosen for one boat: as it was said, and the sheet as it is now, to choose otherwise."""

    choice: SheetChoice
    order: Order
    lines: tuple[PriceLine, ...]
    now: SheetPage
    purchases: tuple[Purchase, ...]


def choice_page(choice: SheetChoice, keys: Collection[str] | None = None) -> ChoicePage:
    lines = tuple(PriceLine(each["name"], each["group"], Decimal(each["price"])) for each in choice.lines)
    bought = choice.order.purchases.exclude(state=Purchase.State.CANCELLED).select_related("material")
    return ChoicePage(
        choice=choice,
        order=choice.order,
        lines=lines,
        now=sheet_page(choice.sheet, choice.options if keys is None else keys),
        purchases=tuple(bought.order_by("material__name", "id")),
    )
