"""What goes to the bookkeeper as sheets: hours, materials, extras line by line; sums by boat, order and person."""

from __future__ import annotations

from collections.abc import Mapping

from yard.sheets.columns import Column, Kind

WHOSE = (
    Column(key="day", heading="day", kind=Kind.DATE),
    Column(key="boat", heading="boat"),
    Column(key="boat_ref", heading="boat ref", kind=Kind.REF),
    Column(key="order", heading="order", kind=Kind.REF),
    Column(key="order_name", heading="order name"),
    Column(key="season", heading="season", kind=Kind.REF),
    Column(key="job", heading="job"),
    Column(key="kind", heading="kind of job"),
    Column(key="person", heading="person"),
)
HOURS = (*WHOSE, Column(key="quantity", heading="hours", kind=Kind.NUMBER), Column(key="what", heading="note"))
MATERIALS = (
    *WHOSE,
    Column(key="what", heading="material"),
    Column(key="quantity", heading="quantity", kind=Kind.NUMBER),
    Column(key="unit", heading="unit", kind=Kind.REF),
)
EXTRAS = (
    *WHOSE,
    Column(key="what", heading="extra"),
    Column(key="quantity", heading="hours", kind=Kind.NUMBER),
    Column(key="agreed", heading="agreed"),
)


def _sums(heading: str) -> tuple[Column, ...]:
    return (
        Column(key="name", heading=heading),
        Column(key="hours", heading="hours", kind=Kind.NUMBER),
        Column(key="extras_h", heading="hours of extras", kind=Kind.NUMBER),
        Column(key="materials", heading="lines of material", kind=Kind.WHOLE),
    )


SHEETS: Mapping[str, tuple[str, tuple[Column, ...]]] = {
    "hours": ("Hours", HOURS),
    "materials": ("Materials", MATERIALS),
    "extras": ("Extras agreed", EXTRAS),
    "boats": ("By boat", _sums("boat")),
    "orders": ("By order", _sums("order")),
    "people": ("By person", _sums("person")),
}
"""By its name in addresses: the title of a sheet, and its columns."""
