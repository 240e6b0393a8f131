"""What real clients read: each a function from a calendar's bytes to the events as (UID, start, end, summary).

Instants are in UTC, whole days are dates. A client that is missing here is skipped with a reason, and fails where the
tests decide (CI=true).
"""

from __future__ import annotations

import ctypes
import ctypes.util
import json
import os
import shutil
import subprocess
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

Read = tuple[str, datetime | date, datetime | date, str]
ICALJS = Path(__file__).with_name("read_icaljs.mjs")


def missing(what: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(f"{what}: where the tests decide, they do not pass by being left out")
    pytest.skip(what)  # on a contributor's machine alone


def told(at: datetime | date) -> datetime | date:
    return at.astimezone(UTC) if isinstance(at, datetime) else at


def with_icalendar(body: bytes) -> list[Read]:
    from icalendar import Calendar

    calendar = Calendar.from_ical(body)
    assert calendar.errors == []
    return [
        (str(event["UID"]), told(event["DTSTART"].dt), told(event["DTEND"].dt), str(event["SUMMARY"]))
        for event in calendar.walk("VEVENT")
        if event.errors == []
    ]


def with_recurring(body: bytes) -> list[Read]:
    import recurring_ical_events
    from icalendar import Calendar

    found = recurring_ical_events.of(Calendar.from_ical(body)).between(datetime(2026, 1, 1), datetime(2030, 1, 1))
    return [(str(e["UID"]), told(e["DTSTART"].dt), told(e["DTEND"].dt), str(e["SUMMARY"])) for e in found]


def with_vobject(body: bytes) -> list[Read]:
    import vobject

    calendar = vobject.readOne(body.decode("utf-8"))
    return [
        (event.uid.value, told(event.dtstart.value), told(event.dtend.value), event.summary.value)
        for event in calendar.vevent_list
    ]


def with_icaljs(body: bytes) -> list[Read]:
    node, package = shutil.which("node"), os.environ.get("YARD_ICALJS", "")
    if node is None or not Path(package, "dist", "ical.js").is_file():
        missing("no ical.js here: npm install ical.js, and name its folder in YARD_ICALJS")
    ran = subprocess.run([str(node), str(ICALJS), package], input=body, capture_output=True, check=True, timeout=60)

    def of(at: Any) -> datetime | date:
        return date.fromisoformat(at) if isinstance(at, str) else datetime.fromtimestamp(at, UTC)

    return [(uid, of(starts), of(ends), summary) for uid, starts, ends, summary in json.loads(ran.stdout)]


class _Time(ctypes.Structure):
    """struct icaltimetype of libical 3 (icaltime.h)."""

    _fields_ = [
        (name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second", "is_date", "is_daylight")
    ] + [("zone", ctypes.c_void_p)]


def _libical() -> Any:
    name = ctypes.util.find_library("ical")
    if name is None:
        missing("no libical here: Debian has it as libical3")
    lib = ctypes.CDLL(name)
    for function in (
        "icalparser_parse_string",
        "icalcomponent_get_first_component",
        "icalcomponent_get_next_component",
    ):
        getattr(lib, function).restype = ctypes.c_void_p
    for function in ("icalcomponent_get_dtstart", "icalcomponent_get_dtend"):
        getattr(lib, function).argtypes, getattr(lib, function).restype = [ctypes.c_void_p], _Time
    for function in ("icalcomponent_get_uid", "icalcomponent_get_summary"):
        getattr(lib, function).argtypes, getattr(lib, function).restype = [ctypes.c_void_p], ctypes.c_char_p
    lib.icaltime_as_timet_with_zone.argtypes = [_Time, ctypes.c_void_p]
    lib.icaltime_as_timet_with_zone.restype = ctypes.c_int64
    lib.icalcomponent_free.argtypes = [ctypes.c_void_p]
    return lib


VEVENT = 4
"""ICAL_VEVENT_COMPONENT of icalenums.h."""


def with_libical(body: bytes) -> list[Read]:
    lib = _libical()
    parsed = ctypes.c_void_p(lib.icalparser_parse_string(ctypes.c_char_p(body)))
    assert parsed.value, "libical reads no calendar"
    found: list[Read] = []
    event = lib.icalcomponent_get_first_component(parsed, VEVENT)

    def of(at: _Time) -> datetime | date:
        if at.is_date:
            return date(at.year, at.month, at.day)
        assert at.zone, "libical knows no zone for this time"
        return datetime.fromtimestamp(lib.icaltime_as_timet_with_zone(at, at.zone), UTC)

    while event:
        starts, ends = lib.icalcomponent_get_dtstart(event), lib.icalcomponent_get_dtend(event)
        uid, summary = lib.icalcomponent_get_uid(event), lib.icalcomponent_get_summary(event)
        found.append((uid.decode("utf-8"), of(starts), of(ends), summary.decode("utf-8")))
        event = lib.icalcomponent_get_next_component(parsed, VEVENT)
    lib.icalcomponent_free(parsed)
    return found


READERS: dict[str, Callable[[bytes], list[Read]]] = {
    "icalendar": with_icalendar,
    "recurring-ical-events": with_recurring,
    "vobject": with_vobject,
    "ical.js": with_icaljs,
    "libical": with_libical,
}
