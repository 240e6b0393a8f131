"""A yard's own station: a JSON file of constants, or a CSV table of high and low waters."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from tests.tides.tide_samples import MEADOW_POINT, NEW_YEAR, PORTLAND, TABLE_BEGINS, TABLE_ENDS, every, source_of
from yard.tides import OutsideTable, TideError, open_source
from yard.tides.source import seconds_of
from yard.tides.station_file import StationFileError, parse_station
from yard.tides.stations import ReferenceStation, station
from yard.tides.table import TableError, TableHead, read_table, zone_of

MINUTE = timedelta(minutes=1)
HEAD = TableHead(name="Tallow Creek", zone="America/New_York", unit="ft", datum="MLLW")
ROWS = "date,time,height,kind\n2027-05-04,05:12,9.8,high\n2027-05-04,11:30,-0.2,low\n2027-05-04,17:40,9.1,H\n"


def constants() -> dict:
    """Portland's constants in the format of a yard's own file."""
    found = station(PORTLAND)
    assert isinstance(found, ReferenceStation)
    rows = [{"name": name, "amplitude_m": amplitude, "phase_deg": phase} for name, amplitude, phase in found.harmonics]
    return {
        "name": "Tallow Creek",
        "latitude": 43.6,
        "longitude": -70.2,
        "zone": "America/New_York",
        "datum": "MLLW",
        "mean_level_m_above_datum": found.mean_level_m,
        "source": "invented name; constants of NOAA station 8418150",
        "constituents": rows,
    }


def test_a_file_of_constants_is_the_station_it_was_made_from(tmp_path: Path) -> None:
    path = tmp_path / "tallow.json"
    path.write_text(json.dumps(constants()))
    own, noaa = open_source(path), open_source(PORTLAND)
    times = every(timedelta(hours=1), NEW_YEAR - timedelta(days=2), NEW_YEAR + timedelta(days=2))
    assert np.array_equal(own.heights_m(times), noaa.heights_m(times))
    assert (own.name, own.datum, own.zone) == ("Tallow Creek", "MLLW", "America/New_York")
    assert open_source(str(path)).events(NEW_YEAR, NEW_YEAR + timedelta(days=1)) == own.events(
        NEW_YEAR, NEW_YEAR + timedelta(days=1)
    )


def test_a_file_with_a_constituent_nobody_knows_lists_it_as_left_out(tmp_path: Path) -> None:
    content = constants()
    content["constituents"].append({"name": "2MS6", "amplitude_m": 0.1, "phase_deg": 10.0})
    path = tmp_path / "tallow.json"
    path.write_text(json.dumps(content))
    source = open_source(path)
    assert source.left_out == ("2MS6",)
    assert "at worst 0.10 m" in source.warnings[1]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"datum": None}, "datum: Expected `str`, got `null`"),
        ({"latitude": 91.0}, "latitude: Expected `float` <= 90"),
        ({"zone": "Maine"}, "zone 'Maine' is no IANA time zone: write one such as America/New_York"),
        ({"depth": 3}, "unknown field `depth`"),
        ({"constituents": []}, "none that is known"),
        ({"constituents": [{"name": "M2", "amplitude_m": -1, "phase_deg": 0}]}, r"constituents\[0\].amplitude_m"),
        ({"constituents": [{"name": "M2", "amplitude_m": 1, "phase_deg": 0}] * 2}, "M2 more than once"),
    ],
)
def test_a_faulty_file_of_constants_names_the_field(change: dict, words: str) -> None:
    with pytest.raises(StationFileError, match=words) as caught:
        parse_station(json.dumps(constants() | change).encode(), "tallow.json")
    assert str(caught.value).startswith("tallow.json")


def test_a_missing_field_and_a_file_that_is_no_json() -> None:
    short = constants()
    del short["mean_level_m_above_datum"]
    with pytest.raises(StationFileError, match="mean_level_m_above_datum"):
        parse_station(json.dumps(short).encode(), "tallow.json")
    with pytest.raises(StationFileError, match="not valid JSON"):
        parse_station(b"{", "tallow.json")
    with pytest.raises(StationFileError, match="not valid JSON"):
        parse_station(b'{"name": "\xff"}', "tallow.json")


def test_a_table_is_read_in_its_zone_and_unit() -> None:
    """05:12 in New York in May is 09:12 UTC; 9.8 ft are 2.987 m."""
    source = read_table(ROWS, head=HEAD)
    first, second, third = source.events(datetime(2027, 5, 4, 8, tzinfo=UTC), datetime(2027, 5, 5, 2, tzinfo=UTC))
    assert (first.at, first.kind) == (datetime(2027, 5, 4, 9, 12, tzinfo=UTC), "high")
    assert first.height_m == pytest.approx(2.98704)
    assert (second.kind, third.kind) == ("low", "high")
    assert second.height_m == pytest.approx(-0.06096)


def test_a_table_meets_its_own_rows_and_lies_half_way_between() -> None:
    source = read_table(ROWS, head=HEAD)
    at = [datetime(2027, 5, 4, 9, 12, tzinfo=UTC), datetime(2027, 5, 4, 15, 30, tzinfo=UTC)]
    times = np.array([seconds_of(t) for t in (at[0], at[0] + (at[1] - at[0]) / 2, at[1])])
    assert source.heights_m(times) == pytest.approx([9.8 * 0.3048, 4.8 * 0.3048, -0.2 * 0.3048])


def test_a_table_keeps_to_the_model_it_was_made_from_within_a_fifth_of_a_metre() -> None:
    """The cosine method against the full model at Portland, range 3 m: a check of size, not of agreement."""
    table, model = source_of("table"), source_of("two a day")
    times = every(timedelta(minutes=10), TABLE_BEGINS, TABLE_ENDS)
    difference = np.abs(table.heights_m(times) - model.heights_m(times))
    assert 0.02 < difference.max() < 0.25


@pytest.mark.parametrize(
    ("rows", "fault"),
    [
        ("4.5.2027,05:12,9.8,high", "row 2, date: '4.5.2027' is no date"),
        ("2027-05-04,5 o'clock,9.8,high", "row 2, time:"),
        ("2027-05-04,05:12,nine,high", "row 2, height: 'nine' is no height"),
        ("2027-05-04,05:12,nan,high", "row 2, height: nan is no height"),
        ("2027-05-04,05:12,980,high", "row 2, height: 980 is no height of a tide"),
        ("2027-05-04,05:12,9.8,up", "row 2, kind: 'up' is neither high nor low"),
        ("2027-05-04,05:12", "row 2, height:"),
        ("2027-05-04,05:12,9.8,high\n2027-05-04,05:12,1.0,low", "row 3, time: is not later than row 2"),
        ("2027-05-04,05:12,9.8,high\n2027-05-04,11:12,9.0,high", "row 3, kind: is high like row 2"),
        ("2027-05-04,05:12,9.8,high\n2027-05-04,11:12,9.9,low", "row 3, height: does not fit low after row 2"),
        ("2027-05-04,05:12,9.8,high\n2027-05-06,11:12,0.1,low", "row 3, date: is over 26 hours after row 2"),
        ("2027-05-04,05:12,9.8,high", "two high or low waters or more"),
        ("2027-03-14,02:30,9.8,high", "row 2, time: the clock skips 02:30"),
        ("2027-11-07,01:30,9.8,high", "row 2, time: 01:30 happens twice"),
    ],
)
def test_a_faulty_table_names_row_and_field(rows: str, fault: str) -> None:
    with pytest.raises(TableError) as caught:
        read_table(f"date,time,height,kind\n{rows}\n", head=HEAD)
    assert fault in str(caught.value)
    assert str(caught.value).startswith("Tallow Creek: ")


def test_all_faults_of_a_table_are_told_at_once() -> None:
    with pytest.raises(TableError, match=r"\(and 2 more\)") as caught:
        read_table(f"{ROWS}x,05:12,1,low\n2027-05-05,y,1,low\n2027-05-05,05:12,z,low\n", head=HEAD)
    assert [(p.row, p.field) for p in caught.value.problems] == [(5, "date"), (6, "time"), (7, "height")]


def test_a_table_without_its_columns_says_which() -> None:
    with pytest.raises(TableError, match="row 1, kind: no such column"):
        read_table("date,time,height\n2027-05-04,05:12,9.8\n", head=HEAD)


def test_the_hour_that_happens_twice_is_told_by_its_offset() -> None:
    """7 November 2027: 01:30-04:00 is 05:30 UTC, an hour before 01:30-05:00."""
    rows = "date,time,height,kind\n2027-11-07,01:30-04:00,9.8,high\n2027-11-07,07:40,0.2,low\n"
    first, second = read_table(rows, head=HEAD).events(
        datetime(2027, 11, 7, tzinfo=UTC), datetime(2027, 11, 8, tzinfo=UTC)
    )
    assert first.at == datetime(2027, 11, 7, 5, 30, tzinfo=UTC)
    assert second.at == datetime(2027, 11, 7, 12, 40, tzinfo=UTC)  # standard time by then


def test_a_csv_file_names_zone_unit_and_datum(tmp_path: Path) -> None:
    path = tmp_path / "tallow.csv"
    path.write_text(f"# zone: UTC-05:00\n# unit: m\n# datum: MLLW\n{ROWS}")
    source = open_source(path)
    [first, *_] = source.events(datetime(2027, 5, 4, tzinfo=UTC), datetime(2027, 5, 5, tzinfo=UTC))
    assert first.at == datetime(2027, 5, 4, 10, 12, tzinfo=UTC)  # standard time all year
    assert first.height_m == 9.8
    assert source.name == "tallow"


@pytest.mark.parametrize("missing", ["zone", "unit", "datum"])
def test_a_csv_file_that_does_not_say_what_its_numbers_mean_is_refused(tmp_path: Path, missing: str) -> None:
    head = {"zone": "UTC", "unit": "m", "datum": "MLLW"}
    del head[missing]
    path = tmp_path / "tallow.csv"
    path.write_text("".join(f"# {key}: {value}\n" for key, value in head.items()) + ROWS)
    with pytest.raises(TideError, match=f"{missing} is not named: add a line"):
        open_source(path)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "latin.csv").write_bytes(b"# zone: \xe9\n")
    (tmp_path / "unit.csv").write_text(f"# zone: UTC\n# unit: fathoms\n# datum: MLLW\n{ROWS}")
    (tmp_path / "tide.txt").write_text(ROWS)
    for name, words in [
        ("none.json", "cannot be read"),
        ("none.csv", "cannot be read"),
        ("latin.csv", "not UTF-8"),
        ("unit.csv", "write '# unit: m' or '# unit: ft'"),
        ("tide.txt", "neither a .json"),
    ]:
        with pytest.raises(TideError, match=words):
            open_source(tmp_path / name)


def test_nothing_is_made_up_beyond_a_tables_ends() -> None:
    source = read_table(ROWS, head=HEAD)
    with pytest.raises(OutsideTable, match="runs from 2027-05-04 09:12 to 2027-05-04 21:40 UTC"):
        source.heights_m(np.array([seconds_of(datetime(2027, 5, 4, 9, 11, tzinfo=UTC))]))
    with pytest.raises(OutsideTable, match="add the missing rows"):
        source.windows(datetime(2027, 5, 4, 10, tzinfo=UTC), datetime(2027, 5, 5, tzinfo=UTC), [1.0])
    with pytest.raises(OutsideTable):
        source.events(datetime(2027, 5, 4, tzinfo=UTC), datetime(2027, 5, 8, tzinfo=UTC))


@pytest.mark.parametrize(("name", "hours"), [("UTC-05:00", -5.0), ("UTC+5:30", 5.5), ("-0330", -3.5), ("UTC", 0.0)])
def test_zones_of_a_table(name: str, hours: float) -> None:
    assert zone_of(name).utcoffset(datetime(2027, 5, 4)) == timedelta(hours=hours)


@pytest.mark.parametrize("name", ["", "Maine", "UTC+19:00", "../etc/passwd"])
def test_zones_that_do_not_exist(name: str) -> None:
    with pytest.raises(TideError, match="no time zone"):
        zone_of(name)


def secondary() -> dict:
    """A secondary port of Portland: 35 min later at midnight and noon, 23 min at 06 and 18 h; invented name."""
    kind = {
        "by_time": [["00:00", 35], ["06:00", 23], ["12:00", 35], ["18:00", 23]],
        "by_height": [[4.2, 1.1], [3.4, 0.8]],
    }
    place = {key: constants()[key] for key in ("latitude", "longitude", "zone", "datum")}
    return {"name": "Tallow Creek", "reference": PORTLAND, "clock": "UTC-05:00", "high": kind, "low": kind, **place}


def test_a_secondary_port_follows_its_reference_by_hour_and_height(tmp_path: Path) -> None:
    path = tmp_path / "secondary.json"
    path.write_text(json.dumps(secondary()))
    span = NEW_YEAR - timedelta(days=1), NEW_YEAR + timedelta(days=1)
    own = open_source(path).events(*span)
    reference = open_source(PORTLAND).events(span[0] - timedelta(hours=1), span[1])
    for event in own:
        [water] = [w for w in reference if w.kind == event.kind and abs(w.at - event.at) < timedelta(hours=1)]
        minute = ((water.at - timedelta(hours=5)).hour * 60 + water.at.minute + water.at.second / 60) % 360
        quarter = ((water.at - timedelta(hours=5)).hour // 6) % 2
        added = 35 - minute / 30 if quarter == 0 else 23 + minute / 30
        assert (event.at - water.at) / MINUTE == pytest.approx(added, abs=0.01)
        assert event.height_m - water.height_m == pytest.approx(1.1 + (water.height_m - 4.2) * 0.375, abs=1e-6)
    assert len(own) >= 7


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"reference": MEADOW_POINT}, "9447265 has no constants of its own"),
        ({"reference": "zzqx"}, "no tide station"),
        ({"reference": 3}, "reference: Expected `str`"),
        ({"clock": "America/New_York"}, "changes with the season"),
        ({"high": {"by_time": [["24:00", 3]], "by_height": [[1, 2], [2, 3]]}}, r"high.by_time\[0\]\[0\]"),
        ({"low": {"by_time": [["12:00", 3]], "by_height": [[1, 2]]}}, "two different heights"),
        ({"low": {"by_time": [], "by_height": [[1, 2], [2, 3]]}}, "one or more"),
    ],
)
def test_a_faulty_secondary_port_is_refused(tmp_path: Path, change: dict, words: str) -> None:
    path = tmp_path / "secondary.json"
    path.write_text(json.dumps(secondary() | change))
    with pytest.raises(TideError, match=words):
        open_source(path)
