from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.weather.hourly import ForecastNotRead, Hour
from yard.weather.readers import plain_csv

HEADING = "start_utc,wind_kn,gust_kn,wind_from_deg,rain_mm,pop_percent,temp_c,dew_c,rh_percent,thunder\n"
ROW = "2026-04-14T06:00Z,6,9.5,200,0,5,10,4,66,no\n"


def read(text: str) -> tuple[Hour, ...]:
    return plain_csv.read(text.encode(), updated_at=None).hours


def test_a_full_row_and_an_empty_one():
    full, empty = read(HEADING + ROW + "2026-04-14T07:00Z,,,,,,,,,\n")
    assert full == Hour(
        start=datetime(2026, 4, 14, 6, tzinfo=UTC),
        wind_kn=6,
        gust_kn=9.5,
        wind_from_deg=200,
        rain_mm=0,
        pop=5,
        temp_c=10,
        dew_c=4,
        rh=66,
        thunder=False,
    )
    assert empty == Hour(start=datetime(2026, 4, 14, 7, tzinfo=UTC))


def test_what_a_spreadsheet_adds_is_taken():
    """A byte order mark, CRLF, spaces, blank lines, an offset, other columns' order and absence."""
    text = "\ufeffgust_kn, start_utc\r\n 12 ,2026-04-14T02:00-04:00\r\n\r\n"
    assert read(text) == (Hour(start=datetime(2026, 4, 14, 6, tzinfo=UTC), gust_kn=12),)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (HEADING, "the file holds no hours: write one row for each hour"),
        ("time,wind_kn\n", "row 1: no column start_utc: head the columns with start_utc"),
        ("start_utc,wind\n", "row 1: the column 'wind' is not known: use start_utc, wind_kn"),
        ("start_utc,rain_mm,rain_mm\n", "row 1: the column rain_mm stands twice: keep one"),
        (HEADING + "2026-04-14T06:00Z,6\n", "row 2: 2 cells under 10 headings"),
        (HEADING + ROW + ROW, "row 3, start_utc: not after the row before it: sort by time"),
        (HEADING + ROW.replace("06:00Z", "06:00"), "row 2, start_utc: '2026-04-14T06:00': write UTC as"),
        (
            HEADING + ROW.replace("06:00Z", "06:20Z"),
            "row 2, start_utc: '2026-04-14T06:20Z' is not on the hour",
        ),
        (HEADING + ROW.replace(",9.5,", ",12 kn,"), "row 2, gust_kn: '12 kn' is not a number: write digits"),
        (
            HEADING + ROW.replace(",66,", ",166,"),
            "row 2, rh_percent: '166' is not 0 to 100: correct or empty it",
        ),
        (HEADING + ROW.replace(",9.5,", ",nan,"), "row 2, gust_kn: 'nan' is not 0 to 220"),
        (HEADING + ROW.replace("no", "maybe"), "row 2, thunder: 'maybe': write yes or no"),
        (HEADING + '"' + ROW, "the file is not CSV"),
    ],
)
def test_a_fault_names_row_column_and_remedy(text, says):
    with pytest.raises(ForecastNotRead) as caught:
        read(text)
    assert says in caught.value.reason
    assert caught.value.permanent


def test_a_file_in_another_encoding_is_refused():
    with pytest.raises(ForecastNotRead, match="save it as CSV UTF-8"):
        plain_csv.read("start_utc\nfévrier".encode("latin-1"), updated_at=None)


def test_too_many_hours_are_refused():
    hours = [
        f"2026-{month:02}-{day:02}T{hour:02}:00Z" for month in (1, 2) for day in range(1, 29) for hour in range(24)
    ]
    with pytest.raises(ForecastNotRead, match="1344 hours: keep at most 384"):
        read("start_utc\n" + "\n".join(hours))


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text):
    for content in (text, "start_utc,thunder\n" + text, HEADING + ROW + text):
        try:
            assert read(content)
        except ForecastNotRead as error:
            assert error.reason
