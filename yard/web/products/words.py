"""A data sheet's limits in the yard's degrees, and those of the products that are put on in one job."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from yard.models import ProductSheet, YardSettings
from yard.web.products.form import degree_unit, degrees


def limits_words(sheet: ProductSheet, yard: YardSettings) -> str:
    """ "50 to 90 °F, humidity at most 85 %, 5 °F above the dew point"; "" where the sheet states none."""
    unit = degree_unit(yard)
    low, high = (
        None if each is None else f"{degrees(each, yard):.0f}" for each in (sheet.min_temp_c, sheet.max_temp_c)
    )
    parts = [
        _temperatures(low, high, unit),
        _("humidity at most {percent} %").format(percent=sheet.max_humidity_pct) if sheet.max_humidity_pct else "",
    ]
    if sheet.min_dew_spread_c:
        spread = f"{degrees(sheet.min_dew_spread_c, yard, difference=True):.0f} {unit}"
        parts.append(_("{spread} above the dew point").format(spread=spread))
    return ", ".join(each for each in parts if each)


def _temperatures(low: str | None, high: str | None, unit: str) -> str:
    if low and high:
        return _("{low} to {high}").format(low=low, high=f"{high} {unit}")
    if low:
        return _("not below {low}").format(low=f"{low} {unit}")
    return _("not above {high}").format(high=f"{high} {unit}") if high else ""


def sheets_words(sheets: Iterable[ProductSheet], yard: YardSettings) -> str:
    """ "Harbor Bright 40: 50 to 90 °F, humidity at most 85 %"; a sheet that states no limit is named alone."""
    said = (f"{sheet.name}: {words}" if (words := limits_words(sheet, yard)) else sheet.name for sheet in sheets)
    return "; ".join(said)
