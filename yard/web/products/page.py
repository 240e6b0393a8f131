"""A product's sheet in words, which orders use it, and what of it was changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from yard.models import Job, JobLink, Order, ProductSheet, YardSettings
from yard.services.product_sheets import PRODUCT, Wait
from yard.web.keeping.saying import Sayer, Was, history_of
from yard.web.orders.words import between_words, wait_words
from yard.web.products.form import degree_unit, degrees
from yard.web.products.words import limits_words


@dataclass(frozen=True)
class Using:
    """A wait of an open order. uses: it is read off this sheet already."""

    link: JobLink
    wait: str
    uses: bool


@dataclass(frozen=True)
class SheetPage:
    sheet: ProductSheet
    said: tuple[tuple[str, str], ...]
    using: tuple[Using, ...]
    history: tuple[Was, ...]

    @property
    def to_tick(self) -> bool:
        """Whether a wait is not read off it yet."""
        return any(not each.uses for each in self.using)


def sheet_page(sheet: ProductSheet, yard: YardSettings) -> SheetPage:
    """Five queries. using: waits of such a product before jobs that are still open, hers first."""
    links = (
        JobLink.objects.filter(
            product_kind=sheet.kind, after__state=Job.State.OPEN, after__order__state=Order.State.OPEN
        )
        .exclude(before__state=Job.State.CANCELLED)
        .select_related("before", "after__order__boat", "product_sheet")
        .order_by("after__order__made_at", "after__order_id", "id")
    )
    using = tuple(
        Using(link, between_words(link.min_wait_min, link.max_wait_min), link.product_sheet_id == sheet.pk)
        for link in links
    )
    say = product_sayer(feet=yard.units == YardSettings.Units.FEET)
    history = history_of(sheet, say, lambda past: reverse("product_put_back", args=[sheet.pk, past]))
    return SheetPage(sheet, _said(sheet, yard), using, history)


def product_sayer(*, feet: bool) -> Sayer:
    """What is kept of a sheet, in the yard's degrees and in hours and days."""
    unit = "°F" if feet else "°C"

    def warm(celsius: float | None) -> str:
        return "" if celsius is None else f"{celsius * 9 / 5 + 32 if feet else celsius:.0f} {unit}"

    def spread(celsius: float | None) -> str:
        return "" if celsius is None else f"{celsius * 9 / 5 if feet else celsius:.0f} {unit}"

    def long(minutes: int | None) -> str:
        return "" if minutes is None else wait_words(minutes)

    def waits(stated: Iterable[Wait]) -> str:
        said = (
            (
                _use(each.use),
                _("{wait} from {temperature}").format(wait=long(each.min_wait_min), temperature=warm(each.from_temp_c)),
            )
            for each in stated
        )
        return "; ".join(", ".join(parts) for parts in said)

    said: dict[str, Callable[[Any], str]] = dict.fromkeys(("min_temp_c", "max_temp_c", "planned_temp_c"), warm)
    said |= {"min_dew_spread_c": spread, "overcoat_max_min": long, "max_wait_min": long, "waits": waits}
    return Sayer(PRODUCT, feet=feet, says=said)


def _said(sheet: ProductSheet, yard: YardSettings) -> tuple[tuple[str, str], ...]:
    """What the sheet states, (what, words)."""

    def warm(celsius: float) -> str:
        return f"{degrees(celsius, yard):.0f} {degree_unit(yard)}"

    said = [(_("Put on"), limits_words(sheet, yard) or _("no limit stated"))]
    said += [
        (
            str(row.get_use_display()).capitalize(),
            _("at least {wait} from {temperature}").format(
                wait=wait_words(row.min_wait_min), temperature=warm(row.from_temp_c)
            ),
        )
        for row in sheet.waits.all()
    ]
    if sheet.overcoat_max_min:
        said.append((_("Next coat within"), wait_words(sheet.overcoat_max_min)))
    if sheet.max_wait_min:
        said.append((_("Launched within"), wait_words(sheet.max_wait_min)))
    planned = sheet.planned_temp_c
    said.append((_("Waits are planned for"), _("the coldest listed") if planned is None else warm(planned)))
    return tuple(said)


def _use(use: str) -> str:
    """The kind of a wait in one word."""
    return {"overcoat": _("overcoat"), "dry": _("dry")}.get(use, use)
