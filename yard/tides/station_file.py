"""A station of a yard's own, as a JSON file of harmonic constants or of a secondary port's differences.

Constants (all but `source` required):

    {
      "name": "Tallow Creek",
      "latitude": 43.6,                       degrees north, -90 to 90
      "longitude": -70.2,                     degrees east, -180 to 180
      "zone": "America/New_York",             IANA time zone, for printed times
      "datum": "MLLW",                        what heights are measured from
      "mean_level_m_above_datum": 1.5,        metres, Z0
      "source": "where the constants are from",
      "constituents": [{"name": "M2", "amplitude_m": 1.37, "phase_deg": 109.2}, ...]
    }

amplitude_m is H, without node factor; phase_deg is the Greenwich phase lag, 0 to 360. Names are those of
NOAA ("RHO", "LAM2", "2SM2"); others are listed by the source as left out.

Differences, as almanacs print them for secondary ports; the place and `datum` as above, and in place of
mean level and constituents:

      "reference": "8443970",                 a station with harmonic constants
      "clock": "UTC-05:00",                   the clock that the times below are on
      "high": {"by_time": [["00:00", 35], ["06:00", 23]],     minutes added when the reference's high
                                                              water is at that hour
               "by_height": [[4.2, 1.1], [3.4, 0.8]]},        metres added at that height of it
      "low": {...}                            the same for low water

Between the points differences are taken in proportion, round the clock for times.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import msgspec

from yard.speech import _
from yard.tides.constituents import INDEX
from yard.tides.source import TideError

Name = Annotated[str, msgspec.Meta(min_length=1, max_length=100)]


class StationFileError(TideError):
    """A file of constants cannot be used; the text names the file, the field and the remedy."""


class ConstituentRow(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One constituent: amplitude in metres, Greenwich phase lag in degrees."""

    name: Name
    amplitude_m: Annotated[float, msgspec.Meta(ge=0, le=20)]
    phase_deg: Annotated[float, msgspec.Meta(ge=-360, le=360)]


class StationFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a file of constants holds; see the module's text for units."""

    name: Name
    latitude: Annotated[float, msgspec.Meta(ge=-90, le=90)]
    longitude: Annotated[float, msgspec.Meta(ge=-180, le=180)]
    zone: str
    datum: Name
    mean_level_m_above_datum: Annotated[float, msgspec.Meta(ge=-100, le=100)]
    constituents: tuple[ConstituentRow, ...]
    source: str = ""


class DifferenceRows(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One kind of water: (clock time of the reference's water, minutes added), (its height, metres added)."""

    by_time: tuple[tuple[Annotated[str, msgspec.Meta(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")], float], ...]
    by_height: tuple[tuple[float, float], ...]


class SecondaryFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a file of a secondary port's differences holds; see the module's text."""

    name: Name
    latitude: Annotated[float, msgspec.Meta(ge=-90, le=90)]
    longitude: Annotated[float, msgspec.Meta(ge=-180, le=180)]
    zone: str
    datum: Name
    reference: Name
    clock: str
    high: DifferenceRows
    low: DifferenceRows
    source: str = ""


class _Peek(msgspec.Struct, frozen=True):
    """Enough of a file to tell which of the two it is."""

    reference: object = msgspec.UNSET


def read_station_file(path: Path) -> StationFile | SecondaryFile:
    """A station from its file. Raises StationFileError."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise StationFileError(
            _("{file_name} cannot be read: {error}").format(file_name=path.name, error=error.strerror)
        ) from error
    return parse_station(content, path.name)


def parse_station(content: bytes, file_name: str) -> StationFile | SecondaryFile:
    """A station from JSON. Raises StationFileError, naming file_name, the field and the remedy."""
    try:
        file = _decode(content)
    except msgspec.ValidationError as error:
        raise StationFileError(f"{file_name}: {_plain(str(error))}") from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise StationFileError(
            _("{file_name} is not valid JSON: {error}").format(file_name=file_name, error=error)
        ) from error
    if isinstance(file, StationFile):
        _check_constituents(file, file_name)
    _check_zone(file, file_name)
    return file


def _decode(content: bytes) -> StationFile | SecondaryFile:
    if msgspec.json.decode(content, type=_Peek).reference is msgspec.UNSET:
        return msgspec.json.decode(content, type=StationFile)
    return msgspec.json.decode(content, type=SecondaryFile)


def _check_constituents(file: StationFile, file_name: str) -> None:
    twice = [name for name, times in Counter(c.name for c in file.constituents).items() if times > 1]
    if twice:
        raise StationFileError(
            _("{file_name}: constituents names {constituents} more than once: keep one of each").format(
                file_name=file_name, constituents=", ".join(twice)
            )
        )
    if not any(c.name in INDEX for c in file.constituents):
        raise StationFileError(
            _("{file_name}: constituents has none that is known: give at least one of {constituents} ...").format(
                file_name=file_name, constituents=", ".join(list(INDEX)[:6])
            )
        )


def _check_zone(file: StationFile | SecondaryFile, file_name: str) -> None:
    try:
        ZoneInfo(file.zone)
    except (KeyError, ValueError, OSError) as error:
        raise StationFileError(
            _("{file_name}: zone {zone!r} is no IANA time zone: write one such as America/New_York").format(
                file_name=file_name, zone=file.zone
            )
        ) from error


def _plain(error: str) -> str:
    """msgspec's words, with the path in front: "constituents[2].phase_deg: Expected `float` <= 360.0"."""
    words, _at, where = error.partition(" - at `$")
    place = where.rstrip("`").lstrip(".")
    return f"{place}: {words}" if place else words
