"""Damp sails and lengths of line as pages say them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import YardSettings
from yard.queries.sails import DampSail
from yard.services.drying_time import DryingTime
from yard.speech import number
from yard.web.boats.words import thing_lies_words, when_words
from yard.web.units import feet, in_feet


@dataclass(frozen=True, slots=True)
class DampLine:
    """One damp sail as a warning says it. over: its 24 hours are past."""

    boat: str
    sail: str
    left: str
    where: str
    url: str
    over: bool

    @property
    def words(self) -> str:
        """ "Tern, mainsail: 5 h left, Sail store, damp" """
        return f"{self.boat}, {self.sail}: {self.left}, {self.where}"


def damp_lines(damp: Sequence[DampSail], now: datetime) -> tuple[DampLine, ...]:
    return tuple(_line(each, now) for each in damp)


def _line(each: DampSail, now: datetime) -> DampLine:
    left = each.hours_left(now)
    hours = f"{abs(left):.0f} h"
    sail = each.sail
    whose = sail.boat.name if sail.boat else sail.order.walk_in_name if sail.order else ""
    return DampLine(
        boat=whose,
        sail=sail.name,
        left=(
            _("{hours} left, on a line by {until}").format(hours=hours, until=when_words(each.until))
            if left >= 0
            else _("{hours} too long in the bag").format(hours=hours)
        ),
        where=thing_lies_words(each.here),
        url=reverse("thing", args=[sail.pk]),
        over=left < 0,
    )


def drying_words(time: DryingTime, yard: YardSettings) -> str:
    """How long it may hang, with what that rests on."""
    days = ngettext("{n} day", "{n} days", time.days).format(n=time.days)
    span = _("{least} to {most} h").format(least=f"{time.least_h:.0f}", most=f"{time.most_h:.0f}")
    if time.rh is None:
        return _("{days} planned; usually {span}. No forecast is at hand, so this is common practice.").format(
            days=days, span=span
        )
    return _(
        "{days} planned. At the {humidity} humidity and {warm} that are forecast, a corner patch takes {span}: "
        "right within a factor of two, no better."
    ).format(days=days, humidity=f"{time.rh:.0f} %", warm=temperature(time.temp_c, yard), span=span)


def temperature(temp_c: float | None, yard: YardSettings) -> str:
    if temp_c is None:
        return ""
    return f"{temp_c * 9 / 5 + 32:.0f} °F" if in_feet(yard) else f"{temp_c:.0f} °C"


def line_words(length_m: float, yard: YardSettings) -> str:
    """ "33 ft", "10.1 m" """
    return f"{feet(length_m):.0f} ft" if in_feet(yard) else f"{number(length_m, 1)} m"
