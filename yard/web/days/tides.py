"""The tide of one day and of one month at the ramp: the picture, and the same as rows of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import YardSettings
from yard.pictures.launch_list_input import Light
from yard.pictures.lettering import clock, height_text
from yard.pictures.shapes import CurvePoint, Span
from yard.pictures.tide_curve import TideCurvePicture
from yard.pictures.tide_curve import lay_out as lay_out_day
from yard.pictures.tide_curve_input import Extreme, Level, TideCurveInput
from yard.pictures.tide_month import Floats, MonthDay, MonthTide, TideMonthInput, TideMonthPicture
from yard.pictures.tide_month import lay_out as lay_out_month
from yard.tides.source import TideEvent, TideSource
from yard.web.days.dates import days_from, month_after
from yard.web.days.gauge import GaugeNow, moved_heights
from yard.web.days.hours import end_clock
from yard.web.days.water import (
    FLOAT_OFF_MIN,
    ROUNDING_M,
    DayLight,
    events_on,
    heights_at,
    light_of,
    runs_of,
    spare_m,
    springs_and_neaps,
)
from yard.web.units import height, height_unit, local, metres_of, minute_on

DAY = Span(0, 1440)
MOST_DRAFT_M = 12.0
"""A boat of this yard draws less (yard.models.boats)."""


@dataclass(frozen=True)
class Draft:
    """A draft asked about. shown: as typed, in the yard's unit. base_m: the height that just floats it at the ramp.

    needs_m: what it needs on a rising tide; falling_needs_m: on a falling one.
    """

    shown: float
    base_m: float
    needs_m: float
    falling_needs_m: float

    def needs_words(self, yard: YardSettings) -> str:
        """ "7.2 ft", or "7.2 ft rising and 7.7 ft falling" where the margins differ by what is shown."""
        rising, falling = (height_text(height(each, yard)) for each in (self.needs_m, self.falling_needs_m))
        unit = height_unit(yard)
        if rising == falling:
            return f"{rising} {unit}"
        words = _("{rising} {unit} rising and {falling} {unit} falling")
        return words.format(rising=rising, falling=falling, unit=unit)


@dataclass(frozen=True)
class TideRow:
    """A high or low water of the table; height as text, with its unit."""

    time: str
    is_high: bool
    height: str
    light: Light


@dataclass(frozen=True)
class TideDay:
    """windows: when the draft has its water; None where no draft is given.

    moved: the same with the gauge's reading, None where none holds on this day.
    """

    picture: TideCurvePicture
    rows: tuple[TideRow, ...]
    light: DayLight
    windows: tuple[str, ...] | None
    moved: tuple[str, ...] | None = None


@dataclass(frozen=True)
class MonthRow:
    """A day of the table. windows: when the draft has its water; empty without a draft."""

    day: date
    highs: tuple[TideRow, ...]
    lows: tuple[TideRow, ...]
    sunrise: str
    sunset: str
    turn: str
    windows: tuple[str, ...]


@dataclass(frozen=True)
class TideMonth:
    picture: TideMonthPicture | None
    rows: tuple[MonthRow, ...]


def read_draft(text: str, yard: YardSettings) -> Draft | str | None:
    """What `?draft=` asks about: None if nothing, else a Draft, or the words that say what is wrong with it."""
    typed = text.strip().replace(",", ".").removesuffix("ft").removesuffix("m").strip()
    if not typed:
        return None
    unit = height_unit(yard)
    most = height(MOST_DRAFT_M, yard)
    try:
        shown = float(typed)
    except ValueError:
        return _("“{text}” is no draft: write a number of {unit}, such as 4.5.").format(text=text[:20], unit=unit)
    if not 0 < shown <= most:
        return _("A draft lies above 0 and up to {most} {unit}.").format(most=f"{most:.0f}", unit=unit)
    if yard.ramp_toe_m_above_datum is None:
        return _("The ramp's level is not entered (Yard, settings), so nothing can be said of a draft.")
    base = yard.ramp_toe_m_above_datum + (yard.trailer_height_m or 0.0) + metres_of(shown, yard)
    return Draft(shown, base, base + yard.margin_rising_m, base + yard.margin_falling_m)


def tide_day(
    source: TideSource,
    yard: YardSettings,
    day: date,
    draft: Draft | None,
    *,
    now: datetime,
    gauge: GaugeNow | None = None,
) -> TideDay:
    """One day: the curve, its highs and lows, its light, and the draft's windows."""
    events, light, unit = events_on(source, day), light_of(yard, day), height_unit(yard)
    minutes = range(-1, 1442)
    heights = heights_at(source, day, minutes)
    level = None
    if draft is not None:
        needs = height(draft.needs_m, yard)
        words = _("for a draft of {draft} {unit}, which needs {needs}")
        told = words.format(draft=height_text(draft.shown), unit=unit, needs=draft.needs_words(yard))
        level = Level(needs, told)
    now_min = minute_on(now, day)
    picture = lay_out_day(
        TideCurveInput(
            day=day,
            axis=DAY,
            curve=tuple(CurvePoint(minute, height(float(heights[minute + 1]), yard)) for minute in range(0, 1441, 10)),
            extremes=tuple(Extreme(minute_on(e.at, day), height(e.height_m, yard), e.kind == "high") for e in events),
            level=level,
            sunrise_min=minute_on(light.sunrise, day) if light.sunrise else None,
            sunset_min=minute_on(light.sunset, day) if light.sunset else None,
            now_min=now_min if 0 <= now_min < 1440 else None,
            height_unit=unit,
        )
    )
    windows = None if draft is None else _words(_windows(spare_m(heights, yard)[1:-1], draft))
    moved = None
    if draft is not None and gauge is not None:
        moved = _words(_windows(spare_m(moved_heights(heights, minutes, day, gauge), yard)[1:-1], draft))
    return TideDay(picture, tuple(_row(e, yard, light) for e in events), light, windows, moved)


def tide_month(source: TideSource, yard: YardSettings, first: date, draft: Draft | None, *, today: date) -> TideMonth:
    """A month: what each high water does for the draft, or, without one, the table alone."""
    days = days_from(first, (month_after(first, 1) - first).days)
    turns = springs_and_neaps(source, first, len(days))
    minutes = range(-1, 1442)
    rows, cells = [], []
    for day in days:
        events, light = events_on(source, day), light_of(yard, day)
        spans: list[Span] = []
        if draft is not None:
            spare = spare_m(heights_at(source, day, minutes), yard)[1:-1]
            spans = _windows(spare, draft)
            cells.append(_cell(day, events, spans, yard, light, turns.get(day, "")))
        told = [_row(event, yard, light) for event in events]
        rows.append(
            MonthRow(
                day=day,
                highs=tuple(row for row in told if row.is_high),
                lows=tuple(row for row in told if not row.is_high),
                sunrise=said(local(light.sunrise), "H:i") if light.sunrise else "",
                sunset=said(local(light.sunset), "H:i") if light.sunset else "",
                turn=turns.get(day, ""),
                windows=_words(spans),
            )
        )
    return TideMonth(_month_picture(yard, first, draft, cells, today) if draft is not None else None, tuple(rows))


def _month_picture(
    yard: YardSettings, first: date, draft: Draft, cells: Sequence[MonthDay], today: date
) -> TideMonthPicture:
    unit = height_unit(yard)
    return lay_out_month(
        TideMonthInput(
            year=first.year,
            month=first.month,
            boat=_("a draft of {draft} {unit}").format(draft=height_text(draft.shown), unit=unit),
            needs=height(draft.needs_m, yard),
            days=tuple(cells),
            today=today,
            height_unit=unit,
        )
    )


def _cell(
    day: date, events: Sequence[TideEvent], spans: Sequence[Span], yard: YardSettings, light: DayLight, note: str
) -> MonthDay:
    return MonthDay(
        day=day,
        tides=tuple(
            MonthTide(minute_on(e.at, day), height(e.height_m, yard), _floats(minute_on(e.at, day), day, spans, light))
            for e in events
            if e.kind == "high"
        ),
        sunrise_min=minute_on(light.sunrise, day) if light.sunrise else None,
        sunset_min=minute_on(light.sunset, day) if light.sunset else None,
        note=note,
    )


def _floats(high_min: int, day: date, spans: Sequence[Span], light: DayLight) -> Floats:
    """What a high water does: whether the window about it is long enough, and whether it is so in light."""
    near = [span for span in spans if span.starts_min - 1 <= high_min <= span.ends_min + 1]
    if not near or max(span.length_min for span in near) < FLOAT_OFF_MIN:
        return Floats.TOO_LOW
    if not light.known:
        return Floats.IN_LIGHT
    if light.works is None:
        return Floats.IN_DARK
    works = (minute_on(light.works.starts_at, day), minute_on(light.works.ends_at, day))
    lit = max(min(span.ends_min, works[1]) - max(span.starts_min, works[0]) for span in near)
    return Floats.IN_LIGHT if lit >= FLOAT_OFF_MIN else Floats.IN_DARK


def _windows(spare: np.ndarray, draft: Draft) -> list[Span]:
    return [Span(first, last) for first, last in runs_of(spare >= draft.base_m - ROUNDING_M) if last > first]


def _words(spans: Sequence[Span]) -> tuple[str, ...]:
    return tuple(_("{first} to {last}").format(first=clock(span.starts_min), last=end_clock(span)) for span in spans)


def _row(event: TideEvent, yard: YardSettings, light: DayLight) -> TideRow:
    return TideRow(
        time=said(local(event.at), "H:i"),
        is_high=event.kind == "high",
        height=f"{height_text(height(event.height_m, yard))} {height_unit(yard)}",
        light=light.at(event.at),
    )
