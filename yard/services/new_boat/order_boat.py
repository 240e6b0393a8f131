"""What was chosen on a sheet becomes an order: jobs of its package, hours, and what is to be bought; changed later."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Boat, Job, JobWay, Material, OptionSheet, Order, SheetChoice, StaleRow
from yard.services.buying import want
from yard.services.change_order import Sender, set_options
from yard.services.facts_revision import bump_facts
from yard.services.new_boat.sheet_choice import Sums, faults_of, sums_of
from yard.services.new_boat.sheet_values import SheetFile
from yard.services.order_package import OrderDates, Terms, demand_open, order_package, today_in_yard
from yard.services.pen import Pen, sign

LEAST_JOB_MIN = 15
BASE = "base"


class NewBoatRefused(Exception):
    """It cannot be so; `faults` are whole sentences with the remedy. Nothing was saved."""

    def __init__(self, faults: Collection[str]) -> None:
        super().__init__(" ".join(faults))
        self.faults = tuple(faults)


def sheet_of(row: OptionSheet) -> SheetFile:
    """The sheet as values, without options that are put away. One query."""
    options = [_option(each) for each in row.options.all() if not each.archived]
    head = {
        "key": row.key,
        "name": row.name,
        "package": row.package.key,
        "source": row.source,
        "base_price": row.base_price,
        "base_materials": row.base_materials,
        "one_of": row.one_of,
        "notes": row.notes,
    }
    return msgspec.convert({"sheet": head, "option": options}, SheetFile)


def _option(row: Any) -> dict[str, Any]:
    keys = ("key", "name", "source", "group", "price", "brings", "hours", "materials", "excludes", "needs")
    return {key: getattr(row, key) for key in (*keys, "on_by_default")}


@transaction.atomic
def order_new_boat(
    boat: Boat,
    row: OptionSheet,
    keys: Collection[str],
    *,
    dates: OrderDates,
    by: User | None,
    now: datetime,
    form_key: UUID | None = None,
) -> SheetChoice:
    """Her order with all its jobs, hours and lines of the buying list. The same form sent twice is one.

    Raises NewBoatRefused, and what order_package raises.
    """
    bump_facts()
    if form_key and (same := SheetChoice.objects.filter(order__form_key=form_key).first()):
        return same
    sheet = _demand(row, keys)
    sums = sums_of(sheet, keys)
    terms = Terms(form_key=form_key, covers_gate_delivery=True)
    order = order_package(boat, row.package, options=sums.brings, dates=dates, by=by, now=now, terms=terms)
    _add_minutes(order, sums.minutes, by, now)
    stays = want(order, _materials(sums), no_more=(), pen=_pen(by, now))
    assert not stays  # a new order has no line yet
    choice = SheetChoice(sheet=row, order=order, made_by=by, made_at=now)
    _write(choice, sheet, sums, by, now, "chosen")
    return choice


@transaction.atomic
def change_choice(
    choice: SheetChoice, keys: Collection[str], *, seen_version: int, by: User, now: datetime
) -> tuple[str, ...]:
    """Other options for her: jobs come and go, hours and the buying list follow. Gives what stays as it was.

    Raises StaleRow, NewBoatRefused, and what set_options raises: a job that is begun keeps its option.
    """
    bump_facts()
    row = SheetChoice.objects.select_related("sheet__package", "order__package", "order__boat").get(pk=choice.pk)
    if row.version != seen_version:
        raise StaleRow(row)
    demand_open(row.order)
    sheet = _demand(row.sheet, keys)
    before, after = _minutes_of(row), sums_of(sheet, keys)
    others = set(row.order.options) - {key for each in sheet.option for key in each.brings}
    set_options(row.order, others | after.brings, sender=Sender(by, now, row.order.version))
    minutes = Counter(after.minutes)
    minutes.subtract(before)
    _add_minutes(row.order, {key: value for key, value in minutes.items() if value}, by, now)
    gone = Material.objects.filter(name__in=set(row.materials) - after.materials.keys())
    stays = want(row.order, _materials(after), no_more=list(gone), pen=_pen(by, now))
    _write(row, sheet, after, by, now, _("options changed"))
    return tuple(stays)


def _demand(row: OptionSheet, keys: Collection[str]) -> SheetFile:
    if row.archived:
        raise NewBoatRefused(
            [_("The sheet “{sheet}” is put away: bring it back, or choose another.").format(sheet=row.name)]
        )
    sheet = sheet_of(row)
    if faults := faults_of(sheet, keys):
        raise NewBoatRefused(faults)
    return sheet


def _minutes_of(row: SheetChoice) -> dict[str, int]:
    """What the options chosen before added: as they stood then."""
    found: Counter[str] = Counter()
    for line in row.lines:
        found.update(line.get("minutes", {}))
    return dict(found)


def _add_minutes(order: Order, minutes: Mapping[str, int], by: User | None, now: datetime) -> None:
    """Every way of doing a job takes so much longer, or less; a job that is begun or not hers is left as it is."""
    jobs = {job.key: job for job in order.jobs.filter(state=Job.State.OPEN).select_related("kind")}
    for key, extra in sorted(minutes.items()):
        job = jobs.get(key)
        if job is None or job.kind.parts:
            continue
        for way in JobWay.objects.filter(job=job):
            way.duration_min = max(LEAST_JOB_MIN, way.duration_min + extra)
            sign(way, by=by, now=now, reason=_("options of her sheet"))
            way.save()


def _materials(sums: Sums) -> dict[Material, int]:
    rows = {row.name: row for row in Material.objects.filter(name__in=sums.materials).select_related("supplier")}
    if missing := sorted(set(sums.materials) - rows.keys()):
        raise NewBoatRefused(
            [_("“{name}” is no material on file: add it, or change the sheet.").format(name=name) for name in missing]
        )
    return {rows[name]: quantity for name, quantity in sums.materials.items()}


def _pen(by: User | None, now: datetime) -> Pen:
    return Pen(by, now, today_in_yard(now), _("options of her sheet"))


def _write(choice: SheetChoice, sheet: SheetFile, sums: Sums, by: User | None, now: datetime, reason: str) -> None:
    base = {"key": BASE, "name": sheet.sheet.name, "group": "", "price": str(sheet.sheet.base_price), "minutes": {}}
    choice.options = [each.key for each in sums.chosen]
    choice.lines = [base] + [
        {
            "key": each.key,
            "name": each.name,
            "group": each.group,
            "price": str(each.price),
            "minutes": {line.job: line.minutes for line in each.hours},
        }
        for each in sums.chosen
    ]
    choice.price, choice.materials = sums.price, dict(sums.materials)
    choice.full_clean()
    sign(choice, by=by, now=now, reason=reason)
    choice.save()
