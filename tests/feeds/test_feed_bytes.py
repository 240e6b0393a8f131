"""What a subscribed calendar must do, point by point, in its bytes. Each point is named in POINTS.

The bytes are read by tests/feeds/raw.py, which is strict; lenient parsers hide faults. Points of HTTP and of stored
rows stand in test_feed_http.py and test_feed_entries.py; the last test here sees that none is left out.
"""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings

from tests.feeds import raw
from tests.feeds.events import (
    FLOAT_OFF,
    HEAD,
    MADE,
    REVISED,
    ZONE,
    called,
    event,
    event_lists,
    expected,
)
from yard.feeds.event import Days, EventError, FeedHead, Hours, Revision, Shown
from yard.feeds.keeping import fingerprint, is_gone, next_revised_at, tag_of
from yard.feeds.wording import changes, description, title
from yard.feeds.writing import write_alarm, write_calendar, write_event, write_feed

POINTS = {
    1: "UID is random and stored, never made from a date, a person or a host",
    2: "DTSTAMP is the last revision, not now",
    3: "a move raises SEQUENCE, LAST-MODIFIED and DTSTAMP, and nothing else does",
    4: "a cancelled visit says so in STATUS and summary, stays 14 days, then goes",
    5: "never an empty calendar",
    6: "never 200 with a page",
    7: "a withdrawn address serves one placeholder, later 410",
    8: "VTIMEZONE by RRULE or by single observances, beyond the last event; never RDATE",
    9: "timed events carry TZID with that VTIMEZONE, or UTC; no floating time",
    10: "all-day: VALUE=DATE, exclusive DTEND, TRANSPARENT unless it blocks a person",
    11: "single instances; no RRULE in events",
    12: "no METHOD",
    13: "CRLF, at most 75 octets a line, never folded inside a character",
    14: "backslash, semicolon, comma, newline escaped; no byte-order mark",
    15: "PRODID, VERSION, NAME, X-WR-CALNAME; COLOR is a CSS3 name",
    16: "REFRESH-INTERVAL;VALUE=DURATION and X-PUBLISHED-TTL",
    17: "text/calendar; charset=utf-8, a strong ETag, 304, HEAD 200",
    18: "under 1 MB",
    19: "a token of 128 bits or more, .ics, private and no-cache, out of logs, replaceable",
}


def one(body: bytes) -> raw.Part:
    (found,) = raw.read(body).inside("VEVENT")
    return found


def feed(*shown: Shown) -> bytes:
    return write_feed(HEAD, [event(number, each) for number, each in enumerate(shown, start=1)])


def test_point_01_uid_is_what_is_stored() -> None:
    stored = UUID("6f1c9b1e-0d5a-4b7e-9a53-4f0c2f6d8a11")
    body = write_feed(HEAD, [replace(event(), uid=stored)])
    assert one(body).one("UID").value == str(stored)


def test_point_01_the_calendar_itself_has_none() -> None:
    """vdirsyncer 0.21 took a UID of the calendar (RFC 7986, 5.3) for that of each event, and kept one of them all."""
    assert raw.read(feed(FLOAT_OFF)).all("UID") == []


def test_point_02_dtstamp_is_the_last_revision_in_utc() -> None:
    found = one(feed(FLOAT_OFF))
    assert found.one("DTSTAMP").value == "20270505T163000Z"
    assert found.one("LAST-MODIFIED").value == "20270505T163000Z"
    assert found.one("CREATED").value == "20270301T090000Z"


def test_point_02_written_twice_it_is_the_same_to_the_byte() -> None:
    assert feed(FLOAT_OFF, called("Tune")) == feed(FLOAT_OFF, called("Tune"))


def test_point_02_the_order_in_which_events_come_makes_no_difference() -> None:
    events = [
        event(1),
        event(2, called("Tune")),
        event(3, called("Haul", when=Days(date(2027, 5, 1), date(2027, 5, 2)))),
    ]
    assert write_feed(HEAD, events) == write_feed(HEAD, events[::-1])


def test_point_03_sequence_is_the_stored_count() -> None:
    assert one(write_feed(HEAD, [event(sequence=41)])).one("SEQUENCE").value == "41"


def test_point_03_equal_content_has_an_equal_fingerprint_in_whatever_zone_its_times_came() -> None:
    """10:15 in New York is 14:15 UTC in May."""
    from zoneinfo import ZoneInfo

    local = ZoneInfo(ZONE)
    same = Hours(datetime(2027, 5, 6, 10, 15, tzinfo=local), datetime(2027, 5, 6, 10, 45, tzinfo=local))
    assert fingerprint(replace(FLOAT_OFF, when=same)) == fingerprint(FLOAT_OFF)


@pytest.mark.parametrize(
    "change",
    [
        {"summary": "Float off Sanderling"},
        {"when": Hours(datetime(2027, 5, 6, 14, 30, tzinfo=UTC), datetime(2027, 5, 6, 14, 45, tzinfo=UTC))},
        {"location": "Dock"},
        {"people": ("Cal",)},
        {"notes": ()},
        {"categories": ("rig",)},
        {"geo": None},
        {"url": ""},
        {"firm": False},
        {"busy": False},
    ],
)
def test_point_03_every_change_of_content_changes_the_fingerprint(change: dict[str, object]) -> None:
    assert fingerprint(replace(FLOAT_OFF, **change)) != fingerprint(FLOAT_OFF)


def test_point_03_a_revision_is_stamped_later_than_the_one_before_even_if_the_clock_stands() -> None:
    assert next_revised_at(REVISED, REVISED) == REVISED + timedelta(seconds=1)
    assert next_revised_at(REVISED, REVISED + timedelta(hours=2)) == REVISED + timedelta(hours=2)
    assert next_revised_at(REVISED, REVISED - timedelta(days=1)) == REVISED + timedelta(seconds=1)


def test_point_03_what_changed_is_said() -> None:
    """14:15 UTC is 10:15 in New York in May."""
    moved = replace(
        FLOAT_OFF,
        when=Hours(datetime(2027, 5, 10, 17, tzinfo=UTC), datetime(2027, 5, 10, 17, 30, tzinfo=UTC)),
        people=("Ines",),
    )
    assert changes(FLOAT_OFF, moved, zone=ZONE) == ("was Thu 6 May 10:15 to 10:45.", "people were Cal, Wren.")
    assert changes(FLOAT_OFF, FLOAT_OFF, zone=ZONE) == ()
    assert changes(FLOAT_OFF, replace(FLOAT_OFF, notes=()), zone=ZONE) == ("its notes.",)
    told = event(changed=("was Thu 6 May 10:15 to 10:45.",))
    assert description(told).endswith("\nChanged: was Thu 6 May 10:15 to 10:45.")


def test_point_04_cancelled_in_status_and_summary() -> None:
    found = one(write_feed(HEAD, [event(cancelled=True)]))
    assert found.one("STATUS").value == "CANCELLED"
    assert found.text("SUMMARY") == "CANCELLED: Float off Wagtail"
    assert found.one("TRANSP").value == "TRANSPARENT"


def test_point_04_provisional_is_tentative_and_says_so() -> None:
    found = one(feed(called("Tune", firm=False)))
    assert found.one("STATUS").value == "TENTATIVE"
    assert found.text("DESCRIPTION").startswith("Provisional")
    assert one(feed(FLOAT_OFF)).one("STATUS").value == "CONFIRMED"


def test_point_05_an_empty_calendar_is_refused() -> None:
    with pytest.raises(EventError, match="placeholder"):
        write_calendar(HEAD, [], years=(2027, 2028))


def test_point_07_a_withdrawn_calendar_says_so_for_thirty_days() -> None:
    at = datetime(2027, 5, 6, tzinfo=UTC)
    assert not is_gone(at, at + timedelta(days=29, hours=23))
    assert is_gone(at, at + timedelta(days=30))


def test_point_08_new_york_is_two_observances_with_rules() -> None:
    """US Energy Policy Act of 2005, section 110: second Sunday in March to first Sunday in November, from 2007 on."""
    (zone,) = raw.read(feed(FLOAT_OFF)).inside("VTIMEZONE")
    assert zone.one("TZID").value == ZONE
    rules = {
        part.name: (part.one("RRULE").value, part.one("DTSTART").value, part.one("TZOFFSETTO").value)
        for part in zone.parts
    }
    assert rules == {
        "STANDARD": ("FREQ=YEARLY;BYDAY=1SU;BYMONTH=11", "20071104T020000", "-0500"),
        "DAYLIGHT": ("FREQ=YEARLY;BYDAY=2SU;BYMONTH=3", "20070311T020000", "-0400"),
    }


def test_point_08_no_table_of_dates() -> None:
    assert b"RDATE" not in feed(FLOAT_OFF)
    assert b"UNTIL" not in feed(FLOAT_OFF)


def test_point_09_a_timed_event_carries_the_zone_that_the_calendar_describes() -> None:
    body = feed(FLOAT_OFF)
    starts = one(body).one("DTSTART")
    assert (starts.params, starts.value) == ({"TZID": ZONE}, "20270506T101500")
    assert [zone.one("TZID").value for zone in raw.read(body).inside("VTIMEZONE")] == [ZONE]


def test_point_09_in_the_hour_that_comes_twice_it_is_utc() -> None:
    """New York, 7 November 2027: 01:30 is 05:30 UTC and again 06:30 UTC; 04:30 and 07:30 UTC are 00:30 and 02:30."""
    for first, local in ((5, False), (6, False), (4, True), (7, True)):
        starts = datetime(2027, 11, 7, first, 30, tzinfo=UTC)
        found = one(feed(called("Late tide", when=Hours(starts, starts + timedelta(minutes=15)))))
        assert raw.moment(found.one("DTSTART")) == starts
        assert ("TZID" in found.one("DTSTART").params) is local


def test_point_09_over_the_night_of_spring_the_end_is_an_hour_on() -> None:
    """14 March 2027: 01:00 to 04:00 by New York's clock is two hours, 06:00 to 08:00 UTC."""
    night = Hours(datetime(2027, 3, 14, 6, tzinfo=UTC), datetime(2027, 3, 14, 8, tzinfo=UTC))
    found = one(feed(called("Night tide", when=night)))
    assert [found.one(name).value for name in ("DTSTART", "DTEND")] == ["20270314T010000", "20270314T040000"]


def test_point_09_no_second_word_on_the_zone() -> None:
    """X-WR-TIMEZONE made recurring-ical-events 3.8 read 06:30 UTC on the night of autumn as 05:30."""
    assert b"X-WR-TIMEZONE" not in feed(FLOAT_OFF)


def test_point_09_a_time_without_a_zone_is_refused() -> None:
    with pytest.raises(EventError, match="no time zone"):
        Hours(datetime(2027, 5, 6, 10), datetime(2027, 5, 6, 11))


@pytest.mark.parametrize(("busy", "transp"), [(False, "TRANSPARENT"), (True, "OPAQUE")])
def test_point_10_whole_days(busy: bool, transp: str) -> None:
    leap = called("Closed", when=Days(date(2028, 2, 29), date(2028, 3, 1)), busy=busy)
    found = one(feed(leap))
    assert found.one("DTSTART") == raw.Property("DTSTART", {"VALUE": "DATE"}, "20280229")
    assert found.one("DTEND") == raw.Property("DTEND", {"VALUE": "DATE"}, "20280301")
    assert found.one("TRANSP").value == transp


def test_point_11_and_12_neither_a_rule_in_an_event_nor_a_method() -> None:
    calendar = raw.read(feed(FLOAT_OFF, called("Tune")))
    assert calendar.all("METHOD") == []
    for found in calendar.inside("VEVENT"):
        assert not {each.name for each in found.properties} & {"RRULE", "RDATE", "EXDATE", "RECURRENCE-ID"}


def test_point_11_one_event_a_line_of_the_plan() -> None:
    body = feed(*(called(f"Job {number}") for number in range(30)))
    assert len({uid for uid, *_ in raw.seen(body)}) == 30


def test_point_12_no_method_anywhere() -> None:
    assert b"METHOD" not in feed(FLOAT_OFF)


def test_point_13_folded_at_75_octets_between_characters() -> None:
    long = called("⛵" * 100, notes=("é" * 300, "👩‍🔧" * 60, "a" * 300))
    body = feed(long)
    assert max(map(len, raw.physical_lines(body))) <= 75
    found = one(body)
    assert found.text("SUMMARY") == "⛵" * 100
    assert "👩‍🔧" * 60 in found.text("DESCRIPTION")


def test_point_14_escapes() -> None:
    told = called('A\\B; "C", D', notes=("one\r\ntwo", "three\\nfour"))
    body = feed(told)
    assert b'SUMMARY:A\\\\B\\; "C"\\, D\r\n' in body
    assert one(body).text("DESCRIPTION").split("\n")[1:] == ["one", "two", "three\\nfour"]


def test_point_14_neither_a_mark_of_byte_order_nor_a_control_character() -> None:
    body = feed(called("\ufeffTu\x00ne\x07\x9c\ud800", notes=("\ufeffnote\x1b",)))
    assert not body.startswith(b"\xef\xbb\xbf")
    assert "\ufeff" not in body.decode("utf-8")
    assert one(body).text("SUMMARY") == "Tune"


def test_point_14_a_name_with_a_comma_is_one_name() -> None:
    body = write_feed(replace(HEAD, name="Arne, mine; all\\"), [event(1, called("Tune", categories=("rig, aloft",)))])
    calendar = raw.read(body)
    assert calendar.text("NAME") == calendar.text("X-WR-CALNAME") == "Arne, mine; all\\"
    assert raw.unescaped(one(body).one("CATEGORIES").value) == "rig, aloft"


def test_point_15_the_head() -> None:
    calendar = raw.read(feed(FLOAT_OFF))
    assert calendar.one("VERSION").value == "2.0"
    assert calendar.one("PRODID").value == "-//Yard//Season planner//EN"
    assert calendar.text("NAME") == calendar.text("X-WR-CALNAME") == "Arne: jobs"
    assert calendar.one("COLOR").value == "teal"
    with pytest.raises(EventError, match="CSS3"):
        replace(HEAD, color="#1c7a66")


def test_point_16_how_often_to_look() -> None:
    calendar = raw.read(feed(FLOAT_OFF))
    assert calendar.one("REFRESH-INTERVAL") == raw.Property("REFRESH-INTERVAL", {"VALUE": "DURATION"}, "PT1H")
    assert calendar.one("X-PUBLISHED-TTL").value == "PT1H"


def test_point_17_the_tag_is_strong_and_of_the_content() -> None:
    assert re.fullmatch(r'"[0-9a-f]{32}"', tag_of(feed(FLOAT_OFF)))
    assert tag_of(feed(FLOAT_OFF)) == tag_of(feed(FLOAT_OFF))
    assert tag_of(feed(FLOAT_OFF)) != tag_of(feed(called("Tune")))


def test_point_18_a_thousand_typical_events_are_half_a_megabyte() -> None:
    typical = replace(FLOAT_OFF, notes=(*FLOAT_OFF.notes, "Order 2027-044 spring commissioning.", "A caution. " * 8))
    body = write_feed(HEAD, [event(number, typical) for number in range(1, 1001)])
    assert len(raw.seen(body)) == 1000
    assert 300_000 < len(body) < 1_000_000


def test_point_18_more_than_a_megabyte_is_refused() -> None:
    text = write_event(event(1, called("Tune", notes=("long " * 1000,))), zone=ZONE)
    with pytest.raises(EventError, match="bytes"):
        write_calendar(HEAD, [text] * 220, years=(2027, 2028))


def test_an_alarm_stands_only_where_it_was_asked_for_and_makes_sense() -> None:
    events = [
        event(1),
        event(2, called("Closed", when=Days(date(2027, 5, 6), date(2027, 5, 7)))),
        event(3, called("High water", busy=False)),
        event(4, cancelled=True),
    ]
    silent = raw.read(write_feed(HEAD, events))
    assert [part.inside("VALARM") for part in silent.inside("VEVENT")] == [[], [], [], []]
    loud = raw.read(write_feed(HEAD, events, alarm_min=30))
    rung = {part.one("UID").value: part.inside("VALARM") for part in loud.inside("VEVENT")}
    assert [bool(rung[str(each.uid)]) for each in events] == [True, False, False, False]
    (alarm,) = rung[str(events[0].uid)]
    assert (alarm.one("ACTION").value, alarm.one("TRIGGER").value) == ("DISPLAY", "-PT30M")
    assert alarm.text("DESCRIPTION") == "Starts in 30 minutes"


@pytest.mark.parametrize("minutes", [-1, 7 * 24 * 60 + 1])
def test_an_alarm_out_of_range_is_refused(minutes: int) -> None:
    with pytest.raises(EventError, match="alarm"):
        write_alarm(minutes)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: called(" "), "needs a summary"),
        (lambda: called("x" * 301), "at most 300"),
        (lambda: called("x", notes=("y" * 8001,)), "8001"),
        (lambda: called("x", url="ftp://x"), "no address"),
        (lambda: Hours(MADE, MADE), "not after it starts"),
        (lambda: Hours(MADE, MADE + timedelta(microseconds=1)), "whole second"),
        (lambda: Days(date(2027, 5, 6), date(2027, 5, 6)), "not after"),
        (lambda: Days(MADE, MADE), "dates, not times"),
        (lambda: Revision(sequence=-1, made_at=MADE, revised_at=MADE), "not negative"),
        (lambda: Revision(sequence=0, made_at=REVISED, revised_at=MADE), "before it was made"),
        (lambda: Revision(sequence=0, made_at=MADE.replace(tzinfo=None), revised_at=MADE), "no time zone"),
        (lambda: FeedHead(name="", zone=ZONE), "needs a name"),
        (lambda: replace(HEAD, refresh_min=0), "at least a minute"),
    ],
)
def test_what_no_calendar_can_show_is_refused_at_birth(make, says: str) -> None:
    with pytest.raises(EventError, match=says):
        make()


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events=event_lists())
def test_whatever_the_plan_holds_the_bytes_say(events) -> None:
    """Odd names, emoji, long notes, nights of the clock change, leap days: read strictly, it is what was written."""
    body = write_feed(HEAD, events)
    assert set(raw.seen(body)) == expected(events)
    assert len(raw.seen(body)) == len(events)
    told = {part.one("UID").value: part for part in raw.read(body).inside("VEVENT")}
    for each in events:
        assert told[str(each.uid)].text("SUMMARY") == title(each)
        if words := description(each):
            assert told[str(each.uid)].text("DESCRIPTION") == words


def test_every_point_has_its_test() -> None:
    tested: set[int] = set()
    for path in Path(__file__).parent.glob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_point_"):
                tested |= {int(number) for number in re.findall(r"(?:point|and)_(\d\d)(?=_)", node.name)}
    assert tested == set(POINTS)
