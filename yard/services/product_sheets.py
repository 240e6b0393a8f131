"""Product data sheets: typed once off the maker's sheet, used by many jobs; a change reaches the waits that use it.

Only waits before jobs that are still open are changed: what was painted dried as it dried.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from yard.models import Fact, FactKind, Job, JobLink, Order, ProductKind, ProductSheet, ProductWait, StaleRow
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.keeping import Refused, SomebodyWasQuicker, nothing_saved, refused_by
from yard.services.order_package import OrderRefused, today_in_yard
from yard.services.pen import sign

Use = Literal["overcoat", "dry"]
OVERCOAT, DRY = ProductWait.Use.OVERCOAT, ProductWait.Use.DRY


@dataclass(frozen=True, slots=True)
class Wait:
    """At least so many minutes from a temperature (degrees Celsius) upwards."""

    use: Use
    from_temp_c: float
    min_wait_min: int


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """Written. reached: how many waits of open jobs it changed."""

    sheet: ProductSheet
    reached: int


class WaitRefused(Exception):
    """A wait cannot be; the text says why."""


def keep_sheet(
    pk: int | None,
    values: Mapping[str, Any],
    waits: tuple[Wait, ...],
    *,
    seen_version: int,
    by: User | None,
    now: datetime,
) -> KeptSheet | Refused | SomebodyWasQuicker[ProductSheet]:
    """A new sheet (pk None), or one changed. values: by field, in minutes and degrees Celsius."""
    try:
        with transaction.atomic():
            bump_facts()
            sheet = ProductSheet.objects.get(pk=pk) if pk else ProductSheet()
            if pk and sheet.version != seen_version:
                return nothing_saved(SomebodyWasQuicker(sheet))
            for name, value in values.items():
                setattr(sheet, name, value)
            if wrong := _wrong_with(sheet, waits):
                return nothing_saved(wrong)
            sign(sheet, by=by, now=now, reason="changed" if pk else "added")
            if pk:
                sheet.save_over(seen_version)
            else:
                sheet.save()
            _write_waits(sheet, waits, by=by, now=now)
            return KeptSheet(sheet, _reach(sheet, by=by, now=now))
    except StaleRow as stale:
        return SomebodyWasQuicker(ProductSheet.objects.get(pk=stale.row.pk))
    except WaitRefused as refused:
        return Refused({"": (str(refused),)})


def _wrong_with(sheet: ProductSheet, waits: tuple[Wait, ...]) -> Refused | None:
    wrong = refused_by(sheet.full_clean)
    words = dict(wrong.words) if wrong is not None else {}
    if len({(wait.use, wait.from_temp_c) for wait in waits}) < len(waits):
        words[""] = (*words.get("", ()), "One temperature stands twice: write one wait for each.")
    for use, longest, field in (
        (OVERCOAT, sheet.overcoat_max_min, "overcoat_max_min"),
        (DRY, sheet.max_wait_min, "max_wait_min"),
    ):
        least = max((wait.min_wait_min for wait in waits if wait.use == use), default=0)
        if longest is not None and longest < least:
            words[field] = ("The longest wait is shorter than a least one: was it typed in days?",)
    return Refused(words) if words else None


def _write_waits(sheet: ProductSheet, waits: tuple[Wait, ...], *, by: User | None, now: datetime) -> None:
    there = {(row.use, row.from_temp_c): row for row in sheet.waits.all()}
    for wait in waits:
        row = there.pop((wait.use, wait.from_temp_c), None) or ProductWait(
            sheet=sheet, use=wait.use, from_temp_c=wait.from_temp_c
        )
        if row.pk is None or row.min_wait_min != wait.min_wait_min:
            row.min_wait_min = wait.min_wait_min
            try:
                row.full_clean()
            except ValidationError as wrong:
                raise WaitRefused(" ".join(wrong.messages)) from wrong
            sign(row, by=by, now=now, reason="data sheet")
            row.save()
    for gone in there.values():
        sign(gone, by=by, now=now, reason="data sheet")
        gone.delete()


def wait_min(sheet: ProductSheet, use: str) -> int | None:
    """The least wait at the temperature that the yard plans for; None where the sheet states none for this use."""
    rows = sorted((row for row in sheet.waits.all() if row.use == use), key=lambda row: row.from_temp_c)
    if not rows:
        return None
    planned = sheet.planned_temp_c
    fitting = [row for row in rows if planned is not None and row.from_temp_c <= planned]
    return (fitting[-1] if fitting else rows[0]).min_wait_min


def use_of(link: JobLink) -> str:
    """Between two jobs of one kind another coat is put on; else it dries for what follows."""
    return OVERCOAT if link.before.kind_id == link.after.kind_id else DRY


def _reach(sheet: ProductSheet, *, by: User | None, now: datetime) -> int:
    links = JobLink.objects.filter(
        product_sheet=sheet, after__state=Job.State.OPEN, after__order__state=Order.State.OPEN
    ).select_related("before", "after")
    return sum(_read_off(link, sheet, by=by, now=now) for link in links)


def _read_off(link: JobLink, sheet: ProductSheet, *, by: User | None, now: datetime) -> bool:
    """Whether the wait is other than before."""
    use = use_of(link)
    least = wait_min(sheet, use)
    longest = sheet.overcoat_max_min if use == OVERCOAT else sheet.max_wait_min
    wanted = (link.min_wait_min if least is None else least, longest, sheet.source, sheet.pk)
    if (link.min_wait_min, link.max_wait_min, link.source, link.product_sheet_id) == wanted:
        return False
    link.min_wait_min, link.max_wait_min, link.source = wanted[:3]
    link.product_sheet = sheet
    sign(link, by=by, now=now, reason=f"data sheet: {sheet.name}")
    link.full_clean()
    link.save()
    return True


@transaction.atomic
def use_sheet(order: Order, sheet: ProductSheet, *, sender: Sender) -> Order:
    """Read the order's waits of this product off the sheet; the fact that a sheet is waited on is here.

    Raises StaleRow, and OrderRefused where the order is not open or has no such wait.
    """
    bump_facts()
    if order.state != Order.State.OPEN:
        raise OrderRefused(f"Order {order.ref} is {order.get_state_display()}: nothing was changed.")
    links = list(
        JobLink.objects.filter(after__order=order, product_kind=sheet.kind, after__state=Job.State.OPEN).select_related(
            "before", "after"
        )
    )
    if not links:
        raise OrderRefused(f"Nothing of order {order.ref} still waits for a {sheet.get_kind_display()}.")
    for link in links:
        _read_off(link, sheet, by=sender.by, now=sender.now)
    today = today_in_yard(sender.now)
    for fact in Fact.objects.filter(order=order, kind=FactKind.DATA_SHEET).exclude(state=Fact.State.HERE):
        if _is_about(fact, sheet.kind):
            _is_here(fact, today, sender)
    return save_order(order, f"data sheet: {sheet.name}", sender)


def _is_about(fact: Fact, kind: str) -> bool:
    """Whether an awaited sheet is one of this kind of product: its name says of which; one that says none is any."""
    named = {each for each in ProductKind.values if each in fact.name.lower()}
    return not named or kind in named


def _is_here(fact: Fact, today: date, sender: Sender) -> None:
    fact.state, fact.here_since, fact.expected_date, fact.guess = Fact.State.HERE, today, None, False
    fact.told_by, fact.set_by, fact.set_at = "", sender.by, sender.now
    sign(fact, by=sender.by, now=sender.now, reason="the sheet is on file")
    fact.save()
