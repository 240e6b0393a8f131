"""Dates, hours and places as her page says them."""

from __future__ import annotations

from datetime import datetime

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import ItemWhereabouts, Whereabouts
from yard.pictures.lettering import clock, weekday_day_month
from yard.pictures.shapes import Span
from yard.speech import number
from yard.web.units import local

date_words = weekday_day_month


def when_words(at: datetime) -> str:
    """Fri 7 May, 08:00"""
    shown = local(at)
    return said(shown, "D j M, H:i")


def span_words(starts_at: datetime, ends_at: datetime) -> str:
    """ "Fri 7 May, 08:00 to 11:30"; over several days "Fri 7 to Mon 10 May" """
    starts, ends = local(starts_at), local(ends_at)
    if starts.date() == ends.date():
        return _("{day}, {starts} to {ends}").format(
            day=weekday_day_month(starts.date()), starts=said(starts, "H:i"), ends=said(ends, "H:i")
        )
    same_month = (starts.year, starts.month) == (ends.year, ends.month)
    first = said(starts, "D j") if same_month else weekday_day_month(starts.date())
    return _("{first} to {last}").format(first=first, last=weekday_day_month(ends.date()))


def figure(value: float) -> str:
    """With as many digits behind the decimal sign as it has: 12, 12.5."""
    return number(value, len(f"{value:g}".partition(".")[2]))


def hours_words(minutes: int) -> str:
    """ "16 h", "1 h 30 min" """
    hours, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest else "") if part)


def spans_words(spans: tuple[Span, ...]) -> str:
    """ "08:58 to 09:45, 21:10 to 22:00" """
    return ", ".join(
        _("{first} to {last}").format(first=clock(max(0, each.starts_min)), last=clock(min(1439, each.ends_min)))
        for each in spans
    )


def boat_lies_words(here: Whereabouts) -> str:
    """ "row 3, place 5 from the wall", "berth 2", "mooring 17", "away" """
    if here.mooring is not None:
        return str(here.mooring)
    if here.place is None:
        return _("away")
    name = here.place.name
    if not here.position:
        return name
    return _("{place}, {nth} from the inside").format(place=name, nth=ordinal(here.position))


def boat_lies_short(here: Whereabouts) -> str:
    """ "row 3, 5th in", "berth 2", "mooring 17", "away" """
    if here.place is None or not here.position:
        return boat_lies_words(here)
    return _("{place}, {nth} in").format(place=here.place.short_name or here.place.name, nth=ordinal(here.position))


def thing_lies_words(here: ItemWhereabouts) -> str:
    name = here.place.name if here.place is not None else here.get_kind_display()
    return f"{name}, {here.get_condition_display()}" if here.condition else name


def ordinal(position: int) -> str:
    """1st, 2nd, 3rd, 4th, 11th; a language that writes all of them alike gives the four the same words."""
    words = {1: _("{n}st"), 2: _("{n}nd"), 3: _("{n}rd")}
    other = _("{n}th")
    return (other if 10 <= position % 100 <= 20 else words.get(position % 10, other)).format(n=position)


def dial(phone: str) -> str:
    """A number as the addresses tel: and sms: take it (RFC 3966): digits, with the + of a country before them."""
    digits = "".join(letter for letter in phone if letter.isascii() and letter.isdigit())
    return f"+{digits}" if digits and phone.lstrip().startswith("+") else digits
