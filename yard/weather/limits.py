"""What weather each kind of outdoor work bears: data with its sources, and how a place changes the wind.

Every value is a default that a yard edits.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from types import MappingProxyType

from yard.speech import gettext_noop


class WorkKind(StrEnum):
    SAILS_AND_COVERS = "sails_and_covers"
    PATTERN = "pattern"
    MAST = "mast"
    AFLOAT = "afloat"
    COATING = "coating"
    WASH = "wash"


def fahrenheit(degrees: float) -> float:
    """Celsius of a limit that its source gives in Fahrenheit."""
    return (degrees - 32) / 1.8


# A dry hour has a probability of rain under 30 % and less than 0.1 mm; from 30 to 60 % it is doubtful; above
# it is wet (common practice).
DRY_BELOW_PERCENT = 30.0
WET_ABOVE_PERCENT = 60.0
RAIN_FROM_MM = 0.1

# Gust over sustained wind where a forecast has no gust. Recorded NWS forecasts: 1.56 (10 to 90 %: 1.27 to
# 1.86); JFK 2013 observed 1.42 (1.25 to 1.75); computed for this project.
GUST_PER_WIND = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of one kind of work; None where it knows none. Wind in knots, temperatures in Celsius.

    wind_kn, gust_kn: highest that is workable. dry: needs a dry hour. min_dew_spread_c: lowest air
    temperature less dew point; firm_dew_spread_c: below it the hour is doubtful. above_temp_c: must be warmer
    than this; min_temp_c, max_temp_c: lowest and highest. below_rh: humidity must be under this, per cent.
    warm_after_h: hours that must follow at min_temp_c or more. thunder_before_h, thunder_after_h: hours
    closed before and after an hour with thunder, which is closed itself; None where thunder does not matter.
    source: where the values come from; the shipped ones are said by `_`.
    """

    source: str
    wind_kn: float | None = None
    gust_kn: float | None = None
    dry: bool = False
    min_dew_spread_c: float | None = None
    firm_dew_spread_c: float | None = None
    above_temp_c: float | None = None
    min_temp_c: float | None = None
    max_temp_c: float | None = None
    below_rh: float | None = None
    warm_after_h: int = 0
    thunder_before_h: int | None = None
    thunder_after_h: int | None = None

    def __post_init__(self) -> None:
        for item in fields(self):
            value = getattr(self, item.name)
            if isinstance(value, float) and not math.isfinite(value):
                raise ValueError(f"{item.name} is {value}; leave it out where there is no limit")
        for name in ("wind_kn", "gust_kn", "min_dew_spread_c", "below_rh", "warm_after_h"):
            value = getattr(self, name)
            if value is not None and value < 0:
                raise ValueError(f"{name} is {value}; it is at least 0")
        if not self.source.strip():
            raise ValueError("a limit names its source")
        if self.warm_after_h and self.min_temp_c is None:
            raise ValueError("warm_after_h needs min_temp_c: how warm it must stay")
        if (self.thunder_before_h is None) != (self.thunder_after_h is None):
            raise ValueError("thunder closes hours before and after: give both, 0 for none")


LIMITS: Mapping[WorkKind, Limits] = MappingProxyType(
    {
        WorkKind.SAILS_AND_COVERS: Limits(
            wind_kn=12, gust_kn=18, dry=True, min_dew_spread_c=2, source=gettext_noop("common practice")
        ),
        WorkKind.PATTERN: Limits(
            wind_kn=10,
            gust_kn=15,
            dry=True,
            above_temp_c=fahrenheit(50),
            source=gettext_noop("common practice: film and tape do not hold in the cold"),
        ),
        # The crane charts of makers start to fall at gusts of 30 mph (26 kn; Manitowoc RT765E-2 manual, fig.
        # 2-1); a gin pole has no chart. In a forecast the half hour that OSHA and NOAA ask for after the last
        # thunder (fact sheet 3863, as cited) is the whole hour after it.
        WorkKind.MAST: Limits(
            wind_kn=12,
            gust_kn=15,
            thunder_before_h=1,
            thunder_after_h=1,
            source=gettext_noop(
                "common practice, or the machine's manual if lower; thunder: OSHA/NOAA fact sheet 3863"
            ),
        ),
        WorkKind.AFLOAT: Limits(
            wind_kn=15,
            gust_kn=22,
            thunder_before_h=0,
            thunder_after_h=1,
            source=gettext_noop("common practice; thunder: OSHA/NOAA fact sheet 3863"),
        ),
        # A clear morning leaves a hull colder than the air, so 5 C of spread are asked for "firm" where the
        # surface itself needs 3 C (common practice).
        WorkKind.COATING: Limits(
            dry=True,
            min_dew_spread_c=3,
            firm_dew_spread_c=5,
            min_temp_c=fahrenheit(50),
            max_temp_c=fahrenheit(90),
            below_rh=85,
            warm_after_h=8,
            source=gettext_noop(
                "bottom-paint instructions (50 to 90 F, RH under 85 %, 50 F for 8 h after); 3 C over the dew point: "
                "guides that cite ISO 8502-4 and ISO 12944-7"
            ),
        ),
        WorkKind.WASH: Limits(above_temp_c=fahrenheit(40), source=gettext_noop("common practice")),
    }
)


def stricter(limits: Limits, *, wind_kn: float | None = None, gust_kn: float | None = None) -> Limits:
    """The same limits with the wind's lowered to these where they are lower; a limit that was none is set."""

    def lower(one: float | None, other: float | None) -> float | None:
        known = [value for value in (one, other) if value is not None]
        return min(known) if known else None

    return replace(limits, wind_kn=lower(limits.wind_kn, wind_kn), gust_kn=lower(limits.gust_kn, gust_kn))


def check_factor(factor: float) -> None:
    if not 0 < factor <= 3:
        raise ValueError(f"a wind factor is over 0 and at most 3, not {factor}")


@dataclass(frozen=True, slots=True)
class WindSector:
    """Winds that blow from [from_deg, to_deg), degrees true, clockwise, over north where to is below from.

    factor: what the forecast's wind and gust are multiplied by at the place; under 1 in a lee.
    """

    from_deg: float
    to_deg: float
    factor: float

    def __post_init__(self) -> None:
        if not (0 <= self.from_deg < 360 and 0 <= self.to_deg < 360 and self.from_deg != self.to_deg):
            raise ValueError(f"a sector goes from 0 to under 360 degrees, not {self.from_deg} to {self.to_deg}")
        check_factor(self.factor)

    def holds(self, wind_from_deg: float) -> bool:
        width = (self.to_deg - self.from_deg) % 360
        return (wind_from_deg - self.from_deg) % 360 < width


@dataclass(frozen=True, slots=True)
class Place:
    """How a place changes the forecast's wind: a factor, and sectors whose own factor stands instead.

    Learned from the yard's own gauge; 1.0 until then. The first sector that holds the wind counts.
    """

    factor: float = 1.0
    sectors: tuple[WindSector, ...] = ()

    def __post_init__(self) -> None:
        check_factor(self.factor)

    def wind_factor(self, wind_from_deg: float | None) -> float:
        """The factor for a direction; for an unknown one the highest, which closes rather than opens."""
        if wind_from_deg is None:
            return max([self.factor, *(sector.factor for sector in self.sectors)])
        for sector in self.sectors:
            if sector.holds(wind_from_deg):
                return sector.factor
        return self.factor


OPEN_PLACE = Place()
