"""The first page: her floating days of the next months, before anything is saved."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.translation import gettext as _

from yard.pictures.tide_month import TideMonthPicture
from yard.tides.source import ASTRONOMICAL_ONLY, TideError
from yard.tides.stations import station
from yard.web.days.dates import month_after
from yard.web.days.tides import Draft, tide_month
from yard.web.days.water import NoTide, tide_of
from yard.web.start.form import Offered, StartForm
from yard.web.units import height

MONTHS = 4
"""This one and the next three: as far as a season is promised in winter (the yard's own)."""


@dataclass(frozen=True)
class FloatingDays:
    """What a draft finds at the ramp. trouble: why nothing can be shown, "" where something is.

    others: the stations that may be meant instead, with the address that chooses each. said: the fields as typed, with
    the station that counts.
    """

    station: str
    needs: str = ""
    days: int = 0
    of_days: int = 0
    months: tuple[TideMonthPicture, ...] = ()
    others: tuple[tuple[Offered, str], ...] = ()
    said: tuple[tuple[str, str], ...] = ()
    trouble: str = ""
    left_out: str = field(default_factory=lambda: _(ASTRONOMICAL_ONLY))


def floating_days(form: StartForm, *, now: datetime) -> FloatingDays:
    """The months from today on, on the clock of the station. form: valid."""
    yard = form.yard("")
    label = station(yard.tide_station).label
    others = tuple((each, _address(form, each)) for each in form.offered if each.id != yard.tide_station)
    source = tide_of(yard)
    if isinstance(source, NoTide):
        return FloatingDays(label, others=others, trouble=source.reason)
    base = (yard.ramp_toe_m_above_datum or 0.0) + (yard.trailer_height_m or 0.0) + form.cleaned_data["draft"]
    shown = round(height(form.cleaned_data["draft"], yard), 2)
    draft = Draft(shown, base, base + yard.margin_rising_m, base + yard.margin_falling_m)
    with timezone.override(ZoneInfo(yard.time_zone)):
        today = timezone.localtime(now).date()
        try:
            read = [tide_month(source, yard, first, draft, today=today) for first in _firsts(today)]
        except TideError as error:
            return FloatingDays(
                label, others=others, trouble=_("The tide of these months is not known: {error}").format(error=error)
            )
    months = tuple(each.picture for each in read if each.picture)
    return FloatingDays(
        station=label,
        needs=draft.needs_words(yard),
        days=sum(each.good_days for each in months),
        of_days=sum(each.known_days for each in months),
        months=months,
        others=others,
        said=tuple((_said(form) | {"station": yard.tide_station}).items()),
    )


def _firsts(today: date) -> list[date]:
    return [month_after(today.replace(day=1), step) for step in range(MONTHS)]


def _address(form: StartForm, other: Offered) -> str:
    return f"?{urlencode(_said(form) | {'station': other.id})}"


def _said(form: StartForm) -> dict[str, str]:
    return {key: form.data.get(key, "") for key in ("place", "units", "toe", "trailer", "draft")}
