"""Values for pictures in tests: an invented yard, an invented tide, no database.

The tide is one cosine a half day with a slow swell from neaps to springs: enough shape for a picture,
no claim to be a real place.
"""

from __future__ import annotations

import math
from datetime import date, timedelta

from yard.pictures.board_input import (
    BoardInput,
    BoardJob,
    BoardRow,
    DayNote,
    DayWater,
    NeedsLine,
    SkillLoad,
    Standing,
    WeekHours,
)
from yard.pictures.boat_water import BoatWaterDay, BoatWaterInput
from yard.pictures.day_sheet_input import (
    DayJob,
    DaySheetInput,
    Gust,
    GustLimit,
    LaunchParts,
    PersonDay,
    PlaceDay,
    WaterFor,
)
from yard.pictures.launch_list_input import LaunchListInput, Light, ListedBoat, ListedTide
from yard.pictures.shapes import CurvePoint, JobState, Span, TradeGroup
from yard.pictures.tide_curve_input import Extreme, Level, TideCurveInput
from yard.pictures.tide_month import Floats, MonthDay, MonthTide, TideMonthInput

YARD, RIG, LOFT, LAUNCH, MOORING = TradeGroup
HALF_TIDE_MIN = 372.6  # half of a mean lunar tide of 12 h 25 min
FIRST_HIGH = (date(2027, 5, 6), 698)  # 11:38
MONDAY = date(2027, 4, 26)
TODAY = date(2027, 5, 6)


def highs(day: date) -> list[tuple[int, float]]:
    """Minutes and heights of the high waters of a day of the invented tide."""
    days = (day - FIRST_HIGH[0]).days
    period = 2 * HALF_TIDE_MIN
    first = math.ceil((days * 1440 - FIRST_HIGH[1]) / period)
    found = []
    for number in range(first, first + 3):
        minute = round(FIRST_HIGH[1] + number * period - days * 1440)
        if 0 <= minute < 1440:
            found.append((minute, round(16.6 + 1.6 * math.cos(2 * math.pi * (number - 4) / 28.5), 1)))
    return found


def curve(day: date, start: int, end: int) -> tuple[CurvePoint, ...]:
    """Heights every ten minutes, swinging about 8.9."""
    high_min, high = highs(day)[0]
    points = range(start, end + 1, 10)
    swing = high - 8.9
    return tuple(CurvePoint(m, 8.9 + swing * math.cos(math.pi * (m - high_min) / HALF_TIDE_MIN)) for m in points)


def may(day: int) -> date:
    return date(2027, 5, day)


def job(
    first: date, letter: str, name: str, group: TradeGroup, days: int = 1, state: JobState = JobState.PLANNED
) -> BoardJob:
    return BoardJob(first, first + timedelta(days=days - 1), letter, name, group, state)


DONE, PROVISIONAL = JobState.DONE, JobState.PROVISIONAL


def afloat(first: date) -> tuple[BoardJob, ...]:
    """Launch, step, tune, bend on, fit, mooring, on working days from the launch on."""
    kinds = (("L", "Launch", LAUNCH), ("M", "Step mast", RIG), ("T", "Static tune", RIG), ("B", "Bend on sails", LOFT))
    kinds += (("F", "Fit covers", LOFT), ("", "To her mooring", MOORING))
    days = [first + timedelta(days=n) for n in range(9) if (first + timedelta(days=n)).weekday() != 6]
    return tuple(job(day, letter or "O", name, group) for day, (letter, name, group) in zip(days, kinds, strict=False))


def water_days(needs: float) -> frozenset[date]:
    days = (MONDAY + timedelta(days=n) for n in range(56))
    return frozenset(d for d in days if d.weekday() != 6 and any(h >= needs and 420 <= m <= 1020 for m, h in highs(d)))


def row(name: str, standing: Standing, jobs: tuple[BoardJob, ...], **more: object) -> BoardRow:
    needs = more.pop("needs", 15.0)
    return BoardRow(
        key=name.lower().replace(" ", "-").replace("'", ""),
        name=name,
        standing=standing,
        jobs=jobs,
        needs=needs,
        water_days=water_days(needs) if needs else frozenset(),
        url="#",
        **more,
    )


def board_rows() -> tuple[BoardRow, ...]:
    winter = (
        job(MONDAY, "C", "Winter cover off", YARD, state=DONE),
        job(may(3), "S", "Sails checked", LOFT, state=DONE),
    )
    paint = (job(may(7), "P", "Bottom paint", YARD, 2), job(may(11), "D", "Dress mast", RIG))
    return (
        row(
            "Kittiwake",
            Standing.LATE,
            (*winter, *paint, *afloat(may(17))),
            needs=17.6,
            promised=may(14),
            on_mooring=may(22),
            in_hand=-7,
            reason="no tide in working hours floats her 11–15 May",
            open_url="#why",
        ),
        row(
            "Ada Pell",
            Standing.LATE,
            afloat(date(2027, 6, 11)),
            promised=date(2027, 6, 12),
            on_mooring=date(2027, 6, 17),
            in_hand=-4,
            reason="slings taken to 25 May, then neaps, then a survey that nobody booked until the week before",
        ),
        row(
            "Cuttle",
            Standing.WAITING_ON,
            (job(may(10), "C", "Cover", YARD), job(may(10), "W", "Wash", YARD), job(may(12), "P", "Paint", YARD, 2)),
            needs=None,
            promised=may(28),
            reason="draft unknown: her launch is not planned",
        ),
        row(
            "Second Helping",
            Standing.WAITING_ON,
            (
                *paint,
                *(BoardJob(j.first_day, j.last_day, j.letter, j.name, j.group, PROVISIONAL) for j in afloat(may(18))),
            ),
            promised=may(22),
            on_mooring=may(22),
            in_hand=0,
            facts_needed_by=(may(20),),
            reason="needs permit by 20 May",
        ),
        row(
            "Winnow",
            Standing.NO_DAY_IN_HAND,
            (job(may(7), "R", "Rig check", RIG), *paint[1:], *afloat(may(18))),
            promised=may(26),
            on_mooring=may(26),
            in_hand=0,
            reason="last water before neaps is 26 May",
        ),
        row(
            "The Extraordinarily Long Name of a Very Small Boat Indeed",
            Standing.ON_TIME,
            afloat(may(12)),
            promised=may(29),
            on_mooring=may(19),
            in_hand=8,
        ),
    )


def loads() -> tuple[SkillLoad, ...]:
    weeks = [MONDAY + timedelta(weeks=n) for n in range(8)]
    rows = (
        ("Yard hands", YARD, 96, (64, 92, 94, 90, 77, 58, 41, 30)),
        ("Riggers", RIG, 80, (63, 79, 86, 77, 74, 52, 49, 31)),
    )
    rows += (
        ("Loft", LOFT, 120, (70, 88, 101, 112, 118, 96, 84, 66)),
        ("Launch crew, at the ramp", LAUNCH, 19, (6, 16, 18, 12, 17, 4, 13, 7)),
    )
    return tuple(
        SkillLoad(label, group, tuple(WeekHours(w, h, there) for w, h in zip(weeks, hours, strict=True)))
        for label, group, there, hours in rows
    )


def board_input() -> BoardInput:
    water = []
    for n in range(56):
        day = MONDAY + timedelta(days=n)
        inside = [h for m, h in highs(day) if 420 <= m <= 1020]
        outside = tuple(h for m, h in highs(day) if 300 <= m < 420 or 1020 < m <= 1180)
        if day.weekday() != 6:
            water.append(DayWater(day, inside[0] if inside else None, outside, bool(inside) and inside[0] > 15.4))
    return BoardInput(
        first_day=MONDAY,
        day_count=56,
        today=TODAY,
        rows=board_rows(),
        closed=(DayNote(may(1), "closed"), DayNote(may(31), "holiday")),
        proposed_closed=(DayNote(may(7), "gale?"),),
        water=tuple(water),
        tide_notes=(DayNote(date(2027, 4, 29), "neaps"), DayNote(may(14), "neaps"), DayNote(may(28), "neaps")),
        needs_line=NeedsLine("Kittiwake", 17.6),
        load=loads(),
    )


def day_job(n: int, boat: str, what: str, group: TradeGroup, start: str, end: str, **more: object) -> DayJob:
    return DayJob(n, boat, what, group, Span(minute(start), minute(end)), **more)


def minute(text: str) -> int:
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def launch_job(n: int, boat: str, start: str, state: JobState = JobState.PLANNED) -> DayJob:
    """Load 30 min, a quarter's wait, float off 30 min, trailer back 15 min."""
    at = minute(start)
    parts = LaunchParts(Span(at + 45, at + 75), Span(at, at + 30), Span(at + 75, at + 90))
    return DayJob(n, boat, "launch", LAUNCH, Span(at, at + 90), "ramp", state, parts)


def day_sheet_input() -> DaySheetInput:
    hours, meal = Span(420, 1020), Span(minute("11:30"), minute("12:00"))
    lines = {"launch": LaunchParts(Span(minute("10:15"), minute("10:45")))}
    people = (
        PersonDay(
            "Maud",
            "canvas, plans",
            hours,
            meal,
            (
                day_job(1, "", "Gauge read", YARD, "7:00", "7:30"),
                day_job(5, "Quillback", "pattern dodger", LOFT, "8:00", "11:30", place="berth 3", state=DONE),
                day_job(11, "Thimble", "cut boat cover", LOFT, "12:15", "15:15", place="loft floor N"),
            ),
        ),
        PersonDay(
            "Tobias",
            "rigger",
            hours,
            meal,
            (
                day_job(4, "Merganser", "dress mast", RIG, "7:30", "9:30", place="spar racks", state=DONE),
                day_job(13, "Loon's Errand", "dress mast", RIG, "12:00", "14:15", state=PROVISIONAL),
                day_job(20, "Loon's Errand", "dress", RIG, "15:45", "16:45", state=JobState.PROPOSED),
            ),
        ),
        PersonDay(
            "Cal",
            "ramp, workboat",
            hours,
            Span(minute("13:30"), minute("14:00")),
            (
                day_job(2, "Bluestem", "set mooring tackle", MOORING, "7:00", "9:00", state=DONE),
                launch_job(8, "Sanderling", "9:30", DONE),
                launch_job(10, "Tern Again", "11:00"),
                day_job(14, "Quillback", "to 41", MOORING, "14:00", "14:45"),
            ),
        ),
        PersonDay(
            "Ines",
            "rigger",
            Span(480, 1080),
            meal,
            (
                day_job(8, "Sanderling", "float", LAUNCH, "10:15", "10:45", **lines),
                day_job(15, "Little Auk", "step", RIG, "14:30", "15:30", place="gin pole"),
            ),
        ),
        PersonDay("Yusuf", "canvas", None),
    )
    places = (
        PlaceDay("Ramp", (day_job(8, "", "", LAUNCH, "10:15", "10:45"), day_job(10, "", "", LAUNCH, "11:45", "12:15"))),
        PlaceDay(
            "Trailer",
            (
                day_job(8, "Sanderling", "", YARD, "9:30", "11:00"),
                day_job(10, "Tern Again", "", YARD, "11:00", "12:30"),
            ),
        ),
        PlaceDay("Gin pole", (day_job(15, "Little Auk", "step mast", RIG, "14:30", "15:30"),)),
        PlaceDay("Loft floor N", (day_job(11, "Thimble", "cut boat cover", LOFT, "12:15", "15:15"),)),
        PlaceDay("Drying line 1", (DayJob(0, "Kittiwake", "genoa, washed Wed: 2nd day of 3", LOFT, Span(-900, 2000)),)),
    )
    high_min, high = highs(TODAY)[0]
    low_min = round(high_min + HALF_TIDE_MIN)
    return DaySheetInput(
        day=TODAY,
        axis=Span(360, 1110),
        sunrise_min=311,
        sunset_min=1177,
        curve=curve(TODAY, 300, 1200),
        extremes=(Extreme(high_min, high, True), Extreme(low_min, 17.8 - high, False)),
        ramp=Level(14.4, "for a boat needing 14.4 ft"),
        gusts=tuple(Gust(60 * h, 2 + h if h < 16 else 2 * h - 15) for h in range(6, 20)),
        gust_limit=GustLimit(15, "the gin pole's"),
        water_for=(
            WaterFor(8, "Sanderling", 15.4, Span(minute("10:10"), minute("13:11"))),
            WaterFor(10, "Tern Again", 16.1, Span(minute("10:23"), minute("12:57"))),
            WaterFor(12, "Little Auk", 14.4, Span(minute("6:30"), minute("18:20"))),
        ),
        people=people,
        places=places,
        now_min=minute("13:52"),
    )


def launch_list_input() -> LaunchListInput:
    tides = []
    number = 1
    for n in range(14):
        day = TODAY + timedelta(days=n)
        for high_min, high in highs(day):
            light = Light.LIGHT if 320 <= high_min <= 1160 else Light.DUSK if 290 <= high_min <= 1190 else Light.DARK
            boats = []
            if light is Light.LIGHT and 480 <= high_min <= 990 and day.weekday() != 6 and n != 1:
                for name, offset in (("Sanderling", -90), ("Tern Again", -15))[: 1 + n % 2]:
                    at = high_min // 15 * 15 + offset
                    needs = round(high - 1.2 + n % 3 * 0.4, 1)
                    boats.append(
                        ListedBoat(
                            number,
                            name,
                            needs,
                            Span(at, at + 30),
                            Span(high_min - 80, high_min + 90),
                            Span(at - 40, at - 10),
                            Span(at + 30, at + 45),
                            "Cal, Arne, Wren, Ines",
                            str(number % 10),
                            "44, Wed 12",
                            "Mon 10, 14:51",
                            waits_on="needs permit by 20 May" if number == 5 else "",
                            afloat_text="afloat 10:35" if n == 0 else "",
                            url="#",
                        )
                    )
                    number += 1
            tides.append(
                ListedTide(
                    day,
                    high_min,
                    high,
                    light,
                    curve(day, high_min - 180, high_min + 180)
                    if high_min == highs(day)[0][0]
                    else tuple(
                        CurvePoint(p.minute + high_min - highs(day)[0][0], p.height)
                        for p in curve(day, highs(day)[0][0] - 180, highs(day)[0][0] + 180)
                    ),
                    springs_or_neaps={4: "springs", 9: "neaps"}.get(n, "") if light is Light.LIGHT else "",
                    closed_reason="Sunday, closed"
                    if day.weekday() == 6
                    else "closed: gale, gusts to 34 kn"
                    if n == 1
                    else "",
                    boats=tuple(boats),
                    floats_up_to=high - 0.1,
                    add_url="#",
                    crew_note="with a late finish" if not boats else "",
                    berths_tonight=4 + n % 4 if boats else None,
                )
            )
    return LaunchListInput(tuple(tides), berths=10)


def tide_curve_input() -> TideCurveInput:
    sheet = day_sheet_input()
    return TideCurveInput(
        TODAY,
        Span(0, 1440),
        curve(TODAY, 0, 1440),
        sheet.extremes,
        sheet.ramp,
        sheet.sunrise_min,
        sheet.sunset_min,
        832,
    )


def tide_month_input() -> TideMonthInput:
    days = []
    for number in range(1, 32):
        day = may(number)
        tides = []
        for high_min, high in highs(day):
            lit = 310 <= high_min <= 1170
            floats = Floats.TOO_LOW if high < 16.7 else Floats.IN_LIGHT if lit else Floats.IN_DARK
            tides.append(MonthTide(high_min, high, floats))
        note = {10: "springs", 24: "neaps"}.get(number, "")
        days.append(MonthDay(day, tuple(tides), 311 - number, 1170 + number, note))
    return TideMonthInput(2027, 5, "Wagtail", 16.7, tuple(days), today=TODAY)


def boat_water_input() -> BoatWaterInput:
    days = []
    for number in range(6, 23):
        day = may(number)
        inside = [h for m, h in highs(day) if 420 <= m <= 1020]
        if day.weekday() == 6:
            days.append(BoatWaterDay(day, None, rest_label="Sun"))
        else:
            above = max(0, round((inside[0] - 17.0) * 70)) if inside else 0
            days.append(
                BoatWaterDay(day, inside[0] if inside else None, above, not_ready="paint" if number < 11 else "")
            )
    return BoatWaterInput("Kittiwake", tuple(days), 17.6, 30, may(12))
