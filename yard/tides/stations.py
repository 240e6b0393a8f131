"""The tide stations of the United States and of some neighbours, by identity, place and name.

Data: fixtures/tides/stations_noaa.json.gz, 3,487 stations: 1,246 with harmonic constants, 2,241 with
offsets from one of them. NOAA CO-OPS, US government, public domain, as packaged in the npm package
@neaps/tide-database 0.10.20260924; of the vintage of 2026, so predictions of other years' constants differ.
"""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from math import asin, cos, radians, sin, sqrt
from pathlib import Path
from types import MappingProxyType
from typing import Final, Literal

import msgspec

from yard.speech import _
from yard.tides.source import TideError

STATIONS_FILE: Final = Path(__file__).parents[2] / "fixtures" / "tides" / "stations_noaa.json.gz"
EARTH_RADIUS_KM: Final = 6371.0088
"""Mean radius, International Union of Geodesy and Geophysics."""
DATUM: Final = "MLLW"
"""Mean lower low water: what NOAA's heights, and US charted depths, are measured from."""

HarmonicRow = tuple[str, float, float]
"""Constituent, amplitude in metres, Greenwich phase lag in degrees."""


class UnknownStation(TideError):
    """No station has this identity; the text names the nearest names."""


class _Place(msgspec.Struct, frozen=True, tag_field="type", kw_only=True):
    id: str
    name: str
    country: str
    latitude: float = msgspec.field(name="lat")
    longitude: float = msgspec.field(name="lon")
    zone: str = msgspec.field(name="tz")
    region: str | None

    @property
    def label(self) -> str:
        """Name and region as a person would say them."""
        return f"{self.name}, {self.region or self.country}"


class ReferenceStation(_Place, frozen=True, tag="reference", kw_only=True):
    """A station with harmonic constants of its own.

    mean_level_m: mean sea level above MLLW; absent at one station (Fort Wadsworth), which has no heights.
    datums_m: other datums above MLLW. epoch: first and last day of the tidal datum epoch.
    """

    harmonics: tuple[HarmonicRow, ...]
    mean_level_m: float | None = msgspec.field(name="msl_above_mllw_m")
    epoch: tuple[str, str] | None
    datums_m: dict[str, float | None] = msgspec.field(name="datums_above_mllw_m", default_factory=dict)


class SubordinateStation(_Place, frozen=True, tag="subordinate", kw_only=True):
    """A station whose high and low waters are its reference station's with offsets.

    time_offset_min, height_offset: for high water, for low water. Heights are a ratio of the reference's
    height above MLLW, or metres added to it.
    """

    reference: str
    time_offset_min: tuple[float, float]
    height_offset: tuple[float, float]
    height_offset_type: Literal["ratio", "fixed"]


Station = ReferenceStation | SubordinateStation


class _StationsFile(msgspec.Struct, frozen=True):
    source: str
    stations: tuple[ReferenceStation | SubordinateStation, ...]


@dataclass(frozen=True, slots=True)
class NearStation:
    """A station and how far it is, in kilometres along the great circle."""

    station: Station
    distance_km: float


@cache
def load_stations() -> Mapping[str, Station]:
    """Every station by its identity, read once. Raises TideError if the file is missing or broken."""
    try:
        content = gzip.decompress(STATIONS_FILE.read_bytes())
        stations = msgspec.json.decode(content, type=_StationsFile).stations
    except (OSError, EOFError, msgspec.DecodeError) as error:
        raise TideError(
            _("the tide stations in {file_name} cannot be read: {error}").format(
                file_name=STATIONS_FILE.name, error=error
            )
        ) from error
    return MappingProxyType({station.id: station for station in stations})


def station(station_id: str) -> Station:
    """The station with this identity, such as "8418150". Raises UnknownStation."""
    try:
        return load_stations()[station_id]
    except KeyError:
        raise UnknownStation(_not_found(station_id)) from None


def nearest(latitude: float, longitude: float, count: int) -> list[NearStation]:
    """The `count` stations nearest to a place in degrees north and east, nearest first.

    Raises TideError for a place that is not on the globe.
    """
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise TideError(
            _("{latitude}, {longitude} is no place: latitude is -90 to 90, longitude -180 to 180").format(
                latitude=latitude, longitude=longitude
            )
        )
    by_distance = (
        NearStation(each, distance_km(latitude, longitude, each.latitude, each.longitude))
        for each in load_stations().values()
    )
    return sorted(by_distance, key=lambda near: (near.distance_km, near.station.id))[: max(count, 0)]


def search(name: str, count: int) -> list[Station]:
    """Stations whose label holds every word of `name`, best first; if none does, those with a like name.

    Case does not matter. An identity finds its station. A blank name finds nothing.
    """
    words = name.casefold().split()
    if not words:
        return []
    found = [each for each in load_stations().values() if all(word in _searched(each) for word in words)]
    if not found:
        found = _alike(name.casefold())
        return found[: max(count, 0)]
    wanted = " ".join(words)
    return sorted(found, key=lambda each: _rank(each, wanted))[: max(count, 0)]


def distance_km(latitude: float, longitude: float, other_latitude: float, other_longitude: float) -> float:
    """Great-circle distance between two places in degrees, by the haversine formula."""
    north, other_north = radians(latitude), radians(other_latitude)
    half_north, half_east = (other_north - north) / 2, radians(other_longitude - longitude) / 2
    chord = sin(half_north) ** 2 + cos(north) * cos(other_north) * sin(half_east) ** 2
    return 2 * EARTH_RADIUS_KM * asin(min(1.0, sqrt(chord)))


def _searched(each: Station) -> str:
    return f"{each.label} {each.id}".casefold()


def _rank(each: Station, wanted: str) -> tuple[bool, bool, bool, str, str]:
    name = each.name.casefold()
    return (name != wanted, not name.startswith(wanted), isinstance(each, SubordinateStation), name, each.id)


def _alike(wanted: str) -> list[Station]:
    names: dict[str, list[Station]] = {}
    for each in load_stations().values():
        names.setdefault(each.name.casefold(), []).append(each)
    return [each for name in get_close_matches(wanted, names, n=10, cutoff=0.6) for each in names[name]]


def _not_found(station_id: str) -> str:
    like = search(station_id, 5)
    if not like:
        ids = get_close_matches(station_id, load_stations(), n=5, cutoff=0.7)
        like = [load_stations()[each] for each in ids]
    names = "; ".join(f"{each.id} {each.label}" for each in like)
    if names:
        return _("no tide station is called {station!r}: did you mean {names}?").format(station=station_id, names=names)
    return _("no tide station is called {station!r}: search by name, or give a file of constants or of a table").format(
        station=station_id
    )
