"""What the launch list is drawn from. Minutes count from the midnight of the tide's own day, so a
tide at 00:37 may have a boat that is loaded at minute -30; heights are in the unit the page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from yard.pictures.shapes import CurvePoint, PictureValueError, Span


class Light(StrEnum):
    LIGHT = "light"
    DUSK = "dusk"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class ListedBoat:
    """A boat on a tide. Texts are as the yard reads them; `after` is "berth 3, then mooring 44, Wed 12".

    water: when she can float at the ramp; None if the tide does not float her (a broken plan is shown too).
    waits_on: the fact awaited, "" if none; afloat_text: "afloat 10:35" once she floats.
    """

    number: int
    name: str
    needs: float
    float_off: Span
    water: Span | None = None
    load: Span | None = None
    trailer_back: Span | None = None
    crew: str = ""
    berth: str = ""
    after: str = ""
    reserve: str = ""
    waits_on: str = ""
    afloat_text: str = ""
    url: str = ""


@dataclass(frozen=True, slots=True)
class ListedTide:
    """One high water. `curve` covers about three hours each way, empty if not known.

    closed_reason: why nobody launches ("Sunday, closed"), "" if open.
    floats_up_to: the most a boat may need and still have her minutes, None if unknown or unusable.
    add_url: where a boat is put on this tide, "" if it cannot be.
    crew_note: "crew from 05:45", "with an early start"; note: other words on the tide's line.
    berths_tonight: boats lying at a berth that night; None if not counted on this line.
    """

    day: date
    high_water_min: int
    height: float
    light: Light
    curve: tuple[CurvePoint, ...] = ()
    springs_or_neaps: str = ""
    closed_reason: str = ""
    boats: tuple[ListedBoat, ...] = ()
    floats_up_to: float | None = None
    add_url: str = ""
    crew_note: str = ""
    note: str = ""
    berths_tonight: int | None = None


@dataclass(frozen=True, slots=True)
class LaunchListInput:
    """Tides in order of time. berths: how many there are."""

    tides: tuple[ListedTide, ...] = ()
    berths: int = 0
    height_unit: str = "ft"

    def __post_init__(self) -> None:
        order = [(tide.day, tide.high_water_min) for tide in self.tides]
        if order != sorted(order):
            raise PictureValueError("tides: they must be in order of time")
