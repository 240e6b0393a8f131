"""What goes to the bookkeeper as sheets: hours, materials, extras line by line; sums by boat, order and person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from yard.sheets.columns import Column, Kind
from yard.speech import _, gettext_noop

WHOSE = (
    Column(key="day", heading=gettext_noop("day"), kind=Kind.DATE),
    Column(key="boat", heading=gettext_noop("boat")),
    Column(key="boat_ref", heading=gettext_noop("boat ref"), kind=Kind.REF),
    Column(key="order", heading=gettext_noop("order"), kind=Kind.REF),
    Column(key="order_name", heading=gettext_noop("order name")),
    Column(key="season", heading=gettext_noop("season"), kind=Kind.REF),
    Column(key="job", heading=gettext_noop("job")),
    Column(key="kind", heading=gettext_noop("kind of job")),
    Column(key="person", heading=gettext_noop("person")),
)
HOURS = (
    *WHOSE,
    Column(key="quantity", heading=gettext_noop("hours"), kind=Kind.NUMBER),
    Column(key="what", heading=gettext_noop("note")),
)
MATERIALS = (
    *WHOSE,
    Column(key="what", heading=gettext_noop("material")),
    Column(key="quantity", heading=gettext_noop("quantity"), kind=Kind.NUMBER),
    Column(key="unit", heading=gettext_noop("unit"), kind=Kind.REF),
)
EXTRAS = (
    *WHOSE,
    Column(key="what", heading=gettext_noop("extra")),
    Column(key="quantity", heading=gettext_noop("hours"), kind=Kind.NUMBER),
    Column(key="agreed", heading=gettext_noop("agreed")),
)


def _sums(heading: str) -> tuple[Column, ...]:
    return (
        Column(key="name", heading=heading),
        Column(key="hours", heading=gettext_noop("hours"), kind=Kind.NUMBER),
        Column(key="extras_h", heading=gettext_noop("hours of extras"), kind=Kind.NUMBER),
        Column(key="materials", heading=gettext_noop("lines of material"), kind=Kind.WHOLE),
    )


SHEETS: Mapping[str, tuple[str, tuple[Column, ...]]] = {
    "hours": (gettext_noop("Hours"), HOURS),
    "materials": (gettext_noop("Materials"), MATERIALS),
    "extras": (gettext_noop("Extras agreed"), EXTRAS),
    "boats": (gettext_noop("By boat"), _sums(gettext_noop("boat"))),
    "orders": (gettext_noop("By order"), _sums(gettext_noop("order"))),
    "people": (gettext_noop("By person"), _sums(gettext_noop("person"))),
}
"""By its name in addresses: the title of a sheet, and its columns, in English."""


def title_of(name: str) -> str:
    return _(SHEETS[name][0])


def columns_of(name: str) -> tuple[Column, ...]:
    """With headings in the yard's language: these sheets go out and never come in again."""
    return tuple(replace(column, heading=_(column.heading)) for column in SHEETS[name][1])
