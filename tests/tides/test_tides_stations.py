"""The station file, the nearest stations, and the search by name."""

import pytest

from yard.tides import TideError, open_source
from yard.tides.stations import (
    ReferenceStation,
    SubordinateStation,
    UnknownStation,
    distance_km,
    load_stations,
    nearest,
    search,
    station,
)


def test_every_station_is_there_and_every_reference_exists() -> None:
    stations = load_stations()
    references = [s for s in stations.values() if isinstance(s, ReferenceStation)]
    subordinates = [s for s in stations.values() if isinstance(s, SubordinateStation)]
    assert (len(references), len(subordinates)) == (1246, 2241)
    assert all(isinstance(stations[s.reference], ReferenceStation) for s in subordinates)


def test_stations_are_read_once() -> None:
    assert load_stations() is load_stations()


def test_distance_of_a_quarter_of_the_globe() -> None:
    """From the equator to the pole: a quarter of 2 pi x 6,371.0088 km."""
    assert distance_km(0, 0, 90, 0) == pytest.approx(10_007.557, abs=0.001)
    assert distance_km(0, 179.5, 0, -179.5) == pytest.approx(111.195, abs=0.001)  # over the date line: one degree
    assert distance_km(43.66, -70.24, 43.66, -70.24) == 0


def test_nearest_stations_come_with_their_distance() -> None:
    """By hand: Portland (8418150) lies 0.0019 degrees south and 0.0042 west, 0.21 and 0.34 km: 0.40 km."""
    found = nearest(43.66, -70.24, 3)
    assert found[0].station.id == "8418150"
    assert found[0].distance_km == pytest.approx(0.40, abs=0.01)
    assert [near.distance_km for near in found] == sorted(near.distance_km for near in found)
    every_distance = sorted(distance_km(43.66, -70.24, s.latitude, s.longitude) for s in load_stations().values())
    assert [near.distance_km for near in found] == every_distance[:3]


def test_a_place_off_the_globe_is_refused() -> None:
    with pytest.raises(TideError, match="latitude is -90 to 90"):
        nearest(91, 0, 1)
    with pytest.raises(TideError, match="is no place"):
        nearest(float("nan"), 0, 1)


@pytest.mark.parametrize(
    ("words", "first"),
    [("portland", "8418150"), ("PORTLAND me", "8418150"), ("8418150", "8418150"), ("portlnd", "8418150")],
)
def test_search_by_name(words: str, first: str) -> None:
    assert search(words, 5)[0].id == first


def test_search_finds_at_most_what_is_asked_for() -> None:
    assert len(search("harbor", 7)) == 7
    assert search("   ", 5) == []
    assert search("zzqx", 5) == []


def test_an_unknown_station_names_the_nearest_names() -> None:
    with pytest.raises(UnknownStation, match="8418150 Portland, ME"):
        station("Portlnd")
    with pytest.raises(UnknownStation, match="did you mean 841"):
        open_source("8418159")
    with pytest.raises(UnknownStation, match="search by name"):
        open_source("zzqx")


def test_a_station_without_datum_is_refused() -> None:
    with pytest.raises(TideError, match="Fort Wadsworth, NY has no MLLW"):
        open_source("8519024")


def test_constituents_beyond_the_37_are_named_and_weighed() -> None:
    """Anchorage has 120; what is left out stands in left_out and its size in the warnings."""
    anchorage, portland = open_source("9455920"), open_source("8418150")
    assert len(anchorage.left_out) == 83
    assert "2MS6" in anchorage.left_out
    assert "M2" not in anchorage.left_out
    assert "83 constituents that are left out" in anchorage.warnings[1]
    assert portland.left_out == ()
    assert len(portland.warnings) == 1
