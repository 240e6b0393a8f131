"""Product data sheets: typed once off the maker's sheet, used by many jobs; a change reaches the waits that use it.

Only waits before jobs that are still open are changed: what was painted dried as it dried.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Fact, FactKind, Job, JobLink, Order, ProductKind, ProductSheet, ProductWait
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.keeping import Keeper, Words, Writer, rows_as_of
from yard.services.order_package import OrderRefused, today_in_yard
from yard.services.pen import sign

Use = Literal["overcoat", "dry"]
OVERCOAT, DRY = ProductWait.Use.OVERCOAT, ProductWait.Use.DRY


@dataclass(frozen=True, slots=True, order=True)
class Wait:
    """At least so many minutes from a temperature (degrees Celsius) upwards."""

    use: Use
    from_temp_c: float
    min_wait_min: int


class WaitsOfSheet:
    """The waits that a sheet states stand beside it."""

    def read(self, row: Any) -> tuple[Wait, ...]:
        return _in_order(row.waits.all())

    def was(self, pasts: Sequence[Any]) -> list[tuple[Wait, ...]]:
        told = ProductWait.history.filter(sheet_id__in={past.id for past in pasts})
        return [_in_order(rows) for rows in rows_as_of(told, [past.history_date for past in pasts])]

    def write(self, row: Any, value: Iterable[Wait], writer: Writer, reason: str) -> None:
        there = {(each.use, each.from_temp_c): each for each in row.waits.all()}
        for wait in value:
            each = there.pop((wait.use, wait.from_temp_c), None) or ProductWait(
                sheet=row, use=wait.use, from_temp_c=wait.from_temp_c
            )
            if each.pk is None or each.min_wait_min != wait.min_wait_min:
                each.min_wait_min = wait.min_wait_min
                each.full_clean()
                writer.sign(each, reason)
                each.save()
        for gone in there.values():
            writer.sign(gone, reason)
            gone.delete()


def _in_order(rows: Iterable[Any]) -> tuple[Wait, ...]:
    return tuple(sorted(Wait(each.use, each.from_temp_c, each.min_wait_min) for each in rows))


def _wrong_with(sheet: ProductSheet, values: Mapping[str, Any]) -> Words:
    waits = values["waits"] if "waits" in values else PRODUCT.read(sheet)["waits"] if sheet.pk else ()
    words: dict[str, tuple[str, ...]] = {}
    if len({(wait.use, wait.from_temp_c) for wait in waits}) < len(waits):
        words["waits"] = (_("One temperature stands twice: write one wait for each."),)
    for use, longest, field in (
        (OVERCOAT, sheet.overcoat_max_min, "overcoat_max_min"),
        (DRY, sheet.max_wait_min, "max_wait_min"),
    ):
        least = max((wait.min_wait_min for wait in waits if wait.use == use), default=0)
        if longest is not None and longest < least:
            words[field] = (_("The longest wait is shorter than a least one: was it typed in days?"),)
    return words


def _reach(sheet: ProductSheet, changed: tuple[str, ...], writer: Writer) -> None:
    """Waits of open jobs that are read off it are as it says now."""
    for link in links_read_off(sheet).select_related("before", "after"):
        _read_off(link, sheet, by=writer.by, now=writer.now)


def links_read_off(sheet: ProductSheet) -> QuerySet[JobLink]:
    """Waits before jobs that are still open, of open orders, that are read off this sheet."""
    return JobLink.objects.filter(
        product_sheet=sheet, after__state=Job.State.OPEN, after__order__state=Order.State.OPEN
    )


PRODUCT: Keeper[ProductSheet] = Keeper(
    ProductSheet,
    (
        "kind",
        "name",
        "source",
        "read_on",
        "min_temp_c",
        "max_temp_c",
        "max_humidity_pct",
        "min_dew_spread_c",
        "overcoat_max_min",
        "max_wait_min",
        "planned_temp_c",
        "notes",
        "archived",
    ),
    beside={"waits": WaitsOfSheet()},
    words={
        "name": gettext_noop("product"),
        "source": gettext_noop("which sheet"),
        "min_temp_c": gettext_noop("not below"),
        "max_temp_c": gettext_noop("not above"),
        "max_humidity_pct": gettext_noop("humidity at most"),
        "min_dew_spread_c": gettext_noop("above the dew point by"),
        "overcoat_max_min": gettext_noop("next coat within"),
        "max_wait_min": gettext_noop("launched within"),
        "planned_temp_c": gettext_noop("waits planned for"),
        "archived": gettext_noop("not used any more"),
    },
    wrong_with=_wrong_with,
    then=_reach,
)


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


def _read_off(link: JobLink, sheet: ProductSheet, *, by: User | None, now: datetime) -> None:
    use = use_of(link)
    least = wait_min(sheet, use)
    longest = sheet.overcoat_max_min if use == OVERCOAT else sheet.max_wait_min
    wanted = (link.min_wait_min if least is None else least, longest, sheet.source, sheet.pk)
    if (link.min_wait_min, link.max_wait_min, link.source, link.product_sheet_id) == wanted:
        return
    link.min_wait_min, link.max_wait_min, link.source = wanted[:3]
    link.product_sheet = sheet
    sign(link, by=by, now=now, reason=_("data sheet: {sheet}").format(sheet=sheet.name))
    link.full_clean()
    link.save()


@transaction.atomic
def use_sheet(order: Order, sheet: ProductSheet, *, sender: Sender) -> Order:
    """Read the order's waits of this product off the sheet; the fact that a sheet is waited on is here.

    Raises StaleRow, and OrderRefused where the order is not open or has no such wait.
    """
    bump_facts()
    if order.state != Order.State.OPEN:
        raise OrderRefused(
            _("Order {ref} is {state}: nothing was changed.").format(ref=order.ref, state=order.get_state_display())
        )
    links = list(
        JobLink.objects.filter(after__order=order, product_kind=sheet.kind, after__state=Job.State.OPEN).select_related(
            "before", "after"
        )
    )
    if not links:
        raise OrderRefused(
            _("Nothing of order {ref} still waits for a {kind}.").format(ref=order.ref, kind=sheet.get_kind_display())
        )
    for link in links:
        _read_off(link, sheet, by=sender.by, now=sender.now)
    today = today_in_yard(sender.now)
    for fact in Fact.objects.filter(order=order, kind=FactKind.DATA_SHEET).exclude(state=Fact.State.HERE):
        if _is_about(fact, sheet.kind):
            _is_here(fact, today, sender)
    return save_order(order, _("data sheet: {sheet}").format(sheet=sheet.name), sender)


def _is_about(fact: Fact, kind: str) -> bool:
    """Whether an awaited sheet is one of this kind of product: its name says of which; one that says none is any."""
    named = {each for each in ProductKind.values if each in fact.name.lower()}
    return not named or kind in named


def _is_here(fact: Fact, today: date, sender: Sender) -> None:
    fact.state, fact.here_since, fact.expected_date, fact.guess = Fact.State.HERE, today, None, False
    fact.told_by, fact.set_by, fact.set_at = "", sender.by, sender.now
    sign(fact, by=sender.by, now=sender.now, reason=_("the sheet is on file"))
    fact.save()
