"""High waters off an official table beside ours: the difference of each, and the offsets that would mend it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from statistics import mean

import numpy as np
from django.utils import timezone
from django.utils.formats import number_format
from django.utils.translation import gettext as _

from yard import speech
from yard.day_names import said
from yard.models import YardSettings
from yard.pictures.shapes import CurvePoint
from yard.pictures.tide_compare import TideCompareInput, TideComparePicture, Typed, lay_out
from yard.services.read_problem import tide_at
from yard.tides.source import TideEvent, TideSource, seconds_of
from yard.web.units import height, height_unit, local, minute_on

LINE = re.compile(r"(\d{4}-\d{2}-\d{2})[ ,;T]+(\d{1,2}):(\d{2})[ ,;]+(-?\d+(?:[.,]\d+)?)\s*(?:ft|m)?")
MOST_LINES, MOST_DAYS = 60, 31
NEAR = timedelta(hours=4)
"""Our high water that is meant: high waters are 12 h 25 min apart, so none within 4 h is another tide."""
STEP_MIN = 10


class TableUnread(ValueError):
    """The typed table cannot be read; the text names the line and what to write."""


@dataclass(frozen=True)
class ComparedRow:
    """One high water: theirs, ours, and ours less theirs (minutes; height in the yard's unit)."""

    theirs_at: datetime
    theirs: float
    ours_at: datetime | None
    ours: float | None
    late_min: int | None
    higher: float | None


@dataclass(frozen=True)
class Comparison:
    """late_min, higher: means over the rows that met; None where none did."""

    rows: tuple[ComparedRow, ...]
    unit: str
    late_min: float | None
    higher: float | None
    picture: TideComparePicture
    advice: str


def compare(text: str, yard: YardSettings, where: str) -> Comparison:
    """where: RAMP or FIELD. Raises TableUnread for what cannot be read, TideError for a station that cannot answer."""
    typed = typed_table(text)
    source = tide_at(yard, where)
    highs = [
        event
        for event in source.events(typed[0][0] - timedelta(days=1), typed[-1][0] + timedelta(days=1))
        if event.kind == "high"
    ]
    rows = tuple(_row(at, shown, highs, yard) for at, shown in typed)
    met = [row for row in rows if row.late_min is not None and row.higher is not None]
    late = mean(row.late_min for row in met if row.late_min is not None) if met else None
    higher = mean(row.higher for row in met if row.higher is not None) if met else None
    unit = height_unit(yard)
    return Comparison(rows, unit, late, higher, _picture(typed, source, yard), _advice(late, higher, unit))


def typed_table(text: str) -> list[tuple[datetime, float]]:
    """High waters as (UTC, height in the yard's unit), in order; dates and times are the yard's."""
    found: list[tuple[datetime, float]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        match = LINE.fullmatch(line.strip())
        if match is None:
            raise TableUnread(
                _("Line {number}, “{line}”: write 2027-05-06 11:38 9.4.").format(number=number, line=line.strip())
            )
        try:
            day, clock = date.fromisoformat(match[1]), time(int(match[2]), int(match[3]))
        except ValueError as error:
            raise TableUnread(
                _("Line {number}, “{line}”: {error}.").format(number=number, line=line.strip(), error=error)
            ) from error
        at = datetime.combine(day, clock, timezone.get_current_timezone()).astimezone(UTC)
        found.append((at, float(match[4].replace(",", "."))))
    if not found:
        raise TableUnread(_("Type at least one high water: 2027-05-06 11:38 9.4."))
    found.sort()
    if len(found) > MOST_LINES or found[-1][0] - found[0][0] > timedelta(days=MOST_DAYS):
        raise TableUnread(
            _("At most {lines} high waters within {days} days: a week at springs and one at neaps do.").format(
                lines=MOST_LINES, days=MOST_DAYS
            )
        )
    return found


def _row(at: datetime, shown: float, highs: list[TideEvent], yard: YardSettings) -> ComparedRow:
    near = min(highs, key=lambda event: abs(event.at - at), default=None)
    if near is None or abs(near.at - at) > NEAR:
        return ComparedRow(at, shown, None, None, None, None)
    ours = height(near.height_m, yard)
    return ComparedRow(at, shown, near.at, ours, round((near.at - at).total_seconds() / 60), ours - shown)


def _picture(typed: list[tuple[datetime, float]], source: TideSource, yard: YardSettings) -> TideComparePicture:
    """The first three days of the table."""
    first = local(typed[0][0]).date()
    last = min(local(typed[-1][0]).date(), first + timedelta(days=2))
    days = [first + timedelta(days=step) for step in range((last - first).days + 1)]
    midnight = datetime.combine(first, time(), timezone.get_current_timezone()).astimezone(UTC)
    times = [midnight + timedelta(minutes=minute) for minute in range(0, 1440 * len(days) + 1, STEP_MIN)]
    heights = source.heights_m(np.array([seconds_of(at) for at in times]))
    return lay_out(
        TideCompareInput(
            curve=tuple(
                CurvePoint(minute_on(at, first), height(metres, yard))
                for at, metres in zip(times, heights.tolist(), strict=True)
            ),
            typed=tuple(
                Typed(minute_on(at, first), shown, said(local(at), "H:i"))
                for at, shown in typed
                if local(at).date() <= last
            ),
            days=tuple(said(day, "D j M") for day in days),
            height_unit=height_unit(yard),
        )
    )


def _advice(late: float | None, higher: float | None, unit: str) -> str:
    if late is None or higher is None:
        return _("No high water of ours lies within 4 hours of any of theirs: is it the same place and zone?")
    when = _("{minutes} min later") if late > 0 else _("{minutes} min earlier")
    where = _("{height} {unit} higher") if higher > 0 else _("{height} {unit} lower")
    return _(
        "Ours is {when} and {where} on average. To meet the table, change “later by” by {minutes} min and “higher by”"
        " by {height} {unit}, then compare again; check that the table has the same datum."
    ).format(
        when=when.format(minutes=f"{abs(late):.0f}"),
        where=where.format(height=speech.number(abs(higher), 1), unit=unit),
        minutes=f"{-late:+.0f}",
        height=number_format(f"{-higher:+.1f}"),
        unit=unit,
    )
