"""The first freeze: the published dates come back, chances rise, and beyond the table nothing is made up."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.weather.first_freeze import (
    About,
    FewerThan,
    FreezeNormals,
    FreezeNotRead,
    MoreThan,
    read_first_freezes,
)

TABLE = read_first_freezes((Path(__file__).parents[2] / "fixtures" / "climate" / "first_freeze.json").read_bytes())

# NOAA NCEI, U.S. Annual/Seasonal Climate Normals 1991-2020, Albany International Airport (USW00014735), variables
# ANN-TMIN-PRBFST-T32FP10, -T32FP50, -T32FP90, -T28FP10, -T28FP50, -T28FP90: month and day of the first freeze.
ALBANY = {(32, 10): "10-03", (32, 50): "10-15", (32, 90): "11-01", (28, 10): "10-11", (28, 50): "10-28"}
# University of Massachusetts Extension, Freeze/Frost Occurrence Tables for Massachusetts: New Bedford, fall dates.
NEW_BEDFORD = {(36, 10): "10-10", (32, 10): "10-22", (32, 50): "11-10", (32, 90): "11-28", (28, 90): "12-09"}


@pytest.mark.parametrize(
    ("station", "below_f", "in_100", "day"),
    [("albany-ny", *key, day) for key, day in ALBANY.items()]
    + [("new-bedford-ma", *key, day) for key, day in NEW_BEDFORD.items()],
)
def test_published_dates_come_back(station: str, below_f: int, in_100: int, day: str) -> None:
    published = date.fromisoformat(f"2027-{day}")
    assert TABLE[station].day_at(below_f, in_100, 2027) == published
    assert TABLE[station].chance_by(below_f, published) == About(in_100)


def test_beyond_the_table_nothing_is_made_up() -> None:
    albany = TABLE["albany-ny"]
    assert albany.chance_by(32, date(2027, 10, 2)) == FewerThan(10)
    assert albany.chance_by(32, date(2027, 11, 2)) == MoreThan(90)
    assert albany.chance_by(32, date(2028, 1, 5)) == MoreThan(90)  # still the autumn that began in 2027
    with pytest.raises(ValueError, match="10 to 90 in 100, not for 5"):
        albany.day_at(32, 5, 2027)
    with pytest.raises(ValueError, match="not for 36"):
        albany.day_at(36, 10, 2027)


@given(st.sampled_from(sorted(TABLE)), st.integers(10, 89), st.sampled_from([28, 32]))
def test_later_days_are_likelier(station: str, in_100: int, below_f: int) -> None:
    normals = TABLE[station]
    day, later = normals.day_at(below_f, in_100, 2027), normals.day_at(below_f, in_100 + 1, 2027)
    assert day <= later
    chance = normals.chance_by(below_f, day)
    assert isinstance(chance, About)
    assert chance.in_100 <= in_100  # rounded to the early side


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"{", "table of first freezes"),
        (b'{"stations": [{"key": "a"}]}', "table of first freezes"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, says: str) -> None:
    with pytest.raises(FreezeNotRead, match=says):
        read_first_freezes(data)


@pytest.mark.parametrize(
    ("source", "rows"),
    [("", ((10, 10, 3), (50, 10, 15))), ("x", ((10, 10, 15), (50, 10, 3))), ("x", ((10, 10, 3),))],
)
def test_a_station_that_cannot_be(source: str, rows: tuple[tuple[int, int, int], ...]) -> None:
    with pytest.raises(FreezeNotRead):
        FreezeNormals("a", "", "A", 41.0, -71.0, "", source, {32: rows})
