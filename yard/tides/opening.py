"""From a station's identity or a file to a tide source."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np

from yard.speech import _
from yard.tides.constituents import INDEX
from yard.tides.differences import FixedDifferences, VaryingDifference, VaryingDifferences
from yard.tides.harmonic import Constants, HarmonicTide
from yard.tides.source import TideError, TideSource
from yard.tides.sources import HarmonicSource, SubordinateSource
from yard.tides.station_file import DifferenceRows, SecondaryFile, StationFile, StationFileError, read_station_file
from yard.tides.stations import DATUM, HarmonicRow, ReferenceStation, SubordinateStation, station
from yard.tides.table import read_table_file, zone_of

FILE_ENDINGS: Final = {".json", ".csv"}


def open_source(station_id_or_path: str | Path) -> TideSource:
    """The tide of a station ("8418150"), a file of a station (.json), or a table of high and low waters (.csv).

    Raises UnknownStation, StationFileError or TableError (all TideError) with the remedy in the text.
    """
    text = str(station_id_or_path)
    if isinstance(station_id_or_path, Path) or Path(text).suffix.lower() in FILE_ENDINGS or "/" in text:
        return _open_file(Path(text))
    return open_station(text)


@lru_cache(maxsize=64)
def open_station(station_id: str) -> HarmonicSource | SubordinateSource:
    """The tide of one of NOAA's stations. Raises UnknownStation, or TideError if it has no datum."""
    match station(station_id):
        case ReferenceStation() as found:
            return _reference(found)
        case SubordinateStation() as found:
            return _subordinate(found)


def harmonic_source(
    name: str, zone: str, datum: str, mean_level_m: float, rows: tuple[HarmonicRow, ...]
) -> HarmonicSource:
    """A source from constants; those beyond the 37 of constituents.py are listed as left out, with their size."""
    known = [row for row in rows if row[0] in INDEX]
    unknown = [row for row in rows if row[0] not in INDEX]
    constants = Constants(
        rows=np.array([INDEX[row[0]] for row in known], dtype=np.int64),
        amplitudes_m=np.array([row[1] for row in known], dtype=np.float64),
        phases_deg=np.array([row[2] for row in known], dtype=np.float64),
        mean_level_m=mean_level_m,
    )
    left_out = tuple(row[0] for row in unknown)
    return HarmonicSource(name, datum, zone, HarmonicTide(constants), left_out, _off_m(unknown))


def _reference(found: ReferenceStation) -> HarmonicSource:
    if found.mean_level_m is None:
        raise TideError(
            _("{station_id} {station} has no {datum}: choose the nearest station that has").format(
                station_id=found.id, station=found.label, datum=DATUM
            )
        )
    return harmonic_source(found.label, found.zone, DATUM, found.mean_level_m, found.harmonics)


def _subordinate(found: SubordinateStation) -> SubordinateSource:
    reference = open_station(found.reference)
    if not isinstance(reference, HarmonicSource):
        raise TideError(
            _("{station_id} {station} refers to {reference}, which has no constants of its own").format(
                station_id=found.id, station=found.label, reference=found.reference
            )
        )
    (high_min, low_min), (high, low) = found.time_offset_min, found.height_offset
    differences = FixedDifferences(high_min, low_min, high, low, ratio=found.height_offset_type == "ratio")
    return SubordinateSource(found.label, DATUM, found.zone, reference, differences)


def _open_file(path: Path) -> TideSource:
    match path.suffix.lower():
        case ".json":
            return _from_station_file(path)
        case ".csv":
            return read_table_file(path)
        case _:
            raise TideError(
                _("{file_name} is neither a .json file of a station nor a .csv table of high and low waters").format(
                    file_name=path.name
                )
            )


def _from_station_file(path: Path) -> TideSource:
    match read_station_file(path):
        case StationFile() as file:
            rows = tuple((c.name, c.amplitude_m, c.phase_deg) for c in file.constituents)
            return harmonic_source(file.name, file.zone, file.datum, file.mean_level_m_above_datum, rows)
        case SecondaryFile() as file:
            reference = open_station(file.reference)
            if not isinstance(reference, HarmonicSource):
                text = _("reference {reference} has no constants of its own: name a station that has").format(
                    reference=file.reference
                )
                raise StationFileError(f"{path.name}: {text}")
            differences = _differences(file, path.name)
            return SubordinateSource(file.name, file.datum, file.zone, reference, differences)


def _differences(file: SecondaryFile, file_name: str) -> VaryingDifferences:
    try:
        clock = zone_of(file.clock).utcoffset(None)
        if clock is None:
            raise TideError(
                _("{clock!r} changes with the season: name a fixed one such as UTC-05:00").format(clock=file.clock)
            )
        return VaryingDifferences(_by_kind(file.high), _by_kind(file.low), clock.total_seconds() / 60)
    except TideError as error:
        raise StationFileError(f"{file_name}: {error}") from error


def _by_kind(rows: DifferenceRows) -> VaryingDifference:
    by_minute = tuple((int(at[:2]) * 60 + int(at[3:]), minutes) for at, minutes in rows.by_time)
    return VaryingDifference(by_minute, rows.by_height)


def _off_m(unknown: list[HarmonicRow]) -> tuple[float, float] | None:
    """Metres that heights are off without these constituents: usually (twice their root mean square), and at worst."""
    if not unknown:
        return None
    amplitudes = np.array([row[1] for row in unknown])
    return 2 * float(np.sqrt((amplitudes**2).sum() / 2)), float(amplitudes.sum())
