"""The season board: the boats of a plan, or its places or people, as lanes over eight weeks."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, GaugeReading, Person, Place, Plan, PlannedStay, PlannedWeek, WaterNeed, YardSettings
from yard.pictures.board import BoardPicture, lay_out
from yard.pictures.board_input import (
    BoardInput,
    BoardJob,
    BoardRow,
    DayNote,
    DayWater,
    FoldedRows,
    NeedsLine,
    SkillLoad,
    Standing,
    WeekHours,
)
from yard.pictures.shapes import JobState, TradeGroup
from yard.queries import season_board as read
from yard.queries.launches import last_floated
from yard.queries.season_board import BoatLanes, BoatRow, LaneJob
from yard.services.read_problem import WaterUnknown, level_for
from yard.web.days.ramp_work import boat_address, boat_name
from yard.web.days.water import NoTide
from yard.web.season.asked import DAYS_SHOWN, Asked
from yard.web.season.reasons import needed_days, short_reason
from yard.web.season.water import BoardWater, board_water, closed_days, days_afloat, rest_weekdays
from yard.web.units import at_minute, height, height_unit, local

SENT_AT_ONCE = 72
"""Rows of boats at risk that are sent before one asks for more: under 300 kB (tests/page_speed.py, size L in May)."""
SENT_ON_TIME = 12
"""So few boats on time are not worth folding away."""
GROUPS = {
    TradeGroup.YARD: gettext_lazy("Yard"),
    TradeGroup.RIG: gettext_lazy("Rigging"),
    TradeGroup.LOFT: gettext_lazy("Loft"),
    TradeGroup.LAUNCH: gettext_lazy("Launch"),
}


@dataclass(frozen=True)
class Board:
    """picture: None where nothing is drawn. no_tide: why the water is not known, "" where it is.

    counts: boats by state. kept, promised: dates promised of open orders, and those that the plan keeps. asked_kept,
    asked_for: the same of dates that an owner wants and nobody promised.
    """

    picture: BoardPicture | None
    no_tide: str
    counts: Mapping[str, int] = field(default_factory=dict)
    kept: int = 0
    promised: int = 0
    asked_kept: int = 0
    asked_for: int = 0
    load: tuple[SkillLoad, ...] = ()
    water: tuple[DayWater, ...] = ()

    @property
    def boats(self) -> int:
        return sum(self.counts.values())


def season_board(
    yard: YardSettings, plan: Plan | None, asked: Asked, *, now: datetime, opened: str = ""
) -> tuple[Board, list[BoatRow]]:
    """The board that was asked for, and all boats it counts. opened: the key of the boat whose row is open."""
    everything = read.boat_rows(plan)
    rows = [row for row in everything if _asked_for(row, asked)]
    shut = read.shutting(at_minute(asked.first, 0), at_minute(asked.last, 0))
    water = board_water(yard, shut, asked.first, DAYS_SHOWN)
    load = _load(plan, asked) if plan else ()
    lanes, folded = _lanes(yard, plan, asked, rows, water, now=now, opened=opened)
    days = () if isinstance(water, NoTide) else _strip(yard, water, rows)
    picture = lay_out(
        BoardInput(
            first_day=asked.first,
            day_count=DAYS_SHOWN,
            today=local(now).date(),
            rows=lanes,
            folded=folded,
            closed=tuple(DayNote(day, why) for day, why in closed_days(shut, asked.first, DAYS_SHOWN)),
            proposed_closed=tuple(
                DayNote(day, why) for day, why in closed_days(shut, asked.first, DAYS_SHOWN, state="suggested")
            ),
            rest_weekdays=rest_weekdays(shut),
            water=days,
            tide_notes=() if isinstance(water, NoTide) else tuple(DayNote(*turn) for turn in water.turns.items()),
            needs_line=_needs_line(yard, rows, opened),
            load=load,
            height_unit=height_unit(yard),
        )
    )
    counted = _counted(everything)
    no_tide = water.reason if isinstance(water, NoTide) else ""
    return replace(counted, picture=picture, no_tide=no_tide, load=load, water=days), everything


def _asked_for(row: BoatRow, asked: Asked) -> bool:
    return asked.find.lower() in row.name.lower() and asked.state in ("", row.state)


def _counted(rows: Sequence[BoatRow]) -> Board:
    """Nothing drawn yet, but the figures of the heading, over all boats whatever is looked for."""
    orders = [order for row in rows for order in row.orders if order.due]
    promised = [order for order in orders if order.order.promised_date]
    wanted = [order for order in orders if not order.order.promised_date]
    return Board(
        picture=None,
        no_tide="",
        counts=Counter(row.state for row in rows),
        kept=sum(order.days_in_hand is not None and order.days_in_hand >= 0 for order in promised),
        promised=len(promised),
        asked_kept=sum(order.days_in_hand is not None and order.days_in_hand >= 0 for order in wanted),
        asked_for=len(wanted),
    )


def _lanes(
    yard: YardSettings,
    plan: Plan | None,
    asked: Asked,
    rows: list[BoatRow],
    water: BoardWater | NoTide,
    *,
    now: datetime,
    opened: str,
) -> tuple[tuple[BoardRow, ...], tuple[FoldedRows, ...]]:
    if asked.view == "table":
        return (), ()
    if asked.rows == "boats":
        sent, folded = fold(rows, asked, opened=opened)
        return boat_lanes(yard, plan, sent, water, today=local(now).date()), folded
    if plan is None:
        return (), ()
    return _place_lanes(plan, asked) if asked.rows == "places" else _person_lanes(plan, asked), ()


def fold(rows: list[BoatRow], asked: Asked, *, opened: str = "") -> tuple[list[BoatRow], tuple[FoldedRows, ...]]:
    """The rows that are sent: boats at risk first; those on time, and beyond SENT_AT_ONCE all, when asked for."""
    sent: list[BoatRow] = []
    folded = []
    for state in read.STATES:
        of_state = [row for row in rows if row.state == state]
        room = max(0, SENT_AT_ONCE - len(sent))
        if state in asked.unfolded or state == asked.state or asked.find:
            room = len(of_state)
        elif state == read.ON_TIME and len(of_state) > SENT_ON_TIME:
            room = 0
        kept = [row for place, row in enumerate(of_state) if place < room or row.key == opened]
        sent += kept
        if len(kept) < len(of_state):
            address = f"{asked.address(unfolded=asked.unfolded | {state})}#group-{state}"
            folded.append(FoldedRows(Standing(state), len(of_state) - len(kept), address))
    return sent, tuple(folded)


def boat_lanes(
    yard: YardSettings, plan: Plan | None, rows: Sequence[BoatRow], water: BoardWater | NoTide, *, today: date
) -> tuple[BoardRow, ...]:
    """The lanes of these boats. Six queries, however many."""
    lanes = read.boat_lanes(plan, rows)
    floated = last_floated(row.boat.pk for row in rows if row.boat)
    bases = {row.key: _base_m(yard, row.boat, floated) for row in rows if row.boat}
    return tuple(_boat_lane(yard, row, lanes, bases.get(row.key), water, today=today) for row in rows)


def _boat_lane(
    yard: YardSettings,
    row: BoatRow,
    lanes: BoatLanes,
    base_m: float | None,
    water: BoardWater | NoTide,
    *,
    today: date,
) -> BoardRow:
    jobs = sorted((job for pk in row.order_ids for job in lanes.jobs.get(pk, ())), key=lambda job: job.starts_at)
    worst = row.worst
    return BoardRow(
        key=row.key,
        name=row.name,
        standing=Standing(row.state),
        jobs=tuple(_job(job) for job in jobs),
        needs=None if base_m is None else height(base_m + yard.margin_rising_m, yard),
        promised=worst.due,
        on_mooring=worst.ends,
        in_hand=worst.days_in_hand,
        water_days=frozenset() if base_m is None or isinstance(water, NoTide) else days_afloat(water, base_m),
        facts_needed_by=tuple(day for order in row.orders for day in needed_days(order, lanes)),
        reason=short_reason(worst, lanes, today=today),
        url=boat_address(row.boat),
        open_url=reverse("season_why", args=[row.key]),
    )


def _job(job: LaneJob) -> BoardJob:
    state = JobState.DONE if job.done else JobState.PROVISIONAL if job.provisional else JobState.PLANNED
    return BoardJob(
        local(job.starts_at).date(),
        max(local(job.starts_at).date(), local(job.ends_at).date()),
        job.letter,
        job.name,
        TradeGroup(job.trade),
        state,
    )


def _base_m(yard: YardSettings, boat: Boat, floated: Mapping[int, GaugeReading]) -> float | None:
    """The height that just floats her at the ramp; None while her draft or the ramp's level is unknown."""
    reading = floated.get(boat.pk)
    seen = reading.observed_m_above_datum if reading else None
    try:
        level = level_for(WaterNeed.RAMP, boat, None, yard, floated_at_m=seen)
    except WaterUnknown:
        return None
    return level.rising_m - yard.margin_rising_m if level else None


def _needs_line(yard: YardSettings, rows: Sequence[BoatRow], opened: str) -> NeedsLine | None:
    row = next((row for row in rows if row.key == opened and row.boat), None)
    if row is None or row.boat is None:
        return None
    base = _base_m(yard, row.boat, last_floated([row.boat.pk]))
    return None if base is None else NeedsLine(row.name, height(base + yard.margin_rising_m, yard))


def _strip(yard: YardSettings, water: BoardWater, rows: Iterable[BoatRow]) -> tuple[DayWater, ...]:
    """The strip of the ramp's water; a day on which not even the shallowest boat floats is dashed."""
    bases = [base for row in rows if row.boat and (base := _base_m(yard, row.boat, {})) is not None]
    least = min(bases, default=None)
    return tuple(
        DayWater(
            day.day,
            None if day.highest_m is None else height(day.highest_m, yard),
            tuple(height(metres, yard) for metres in day.outside_m),
            usable=least is None or (day.base_m is not None and day.base_m >= least),
        )
        for day in water.days
    )


def _place_lanes(plan: Plan, asked: Asked) -> tuple[BoardRow, ...]:
    places, _ = read.places_and_people()
    span = at_minute(asked.first, 0), at_minute(asked.last, 0)
    booked = _by_day(read.place_bookings(plan, *span)) | _by_night(read.nights_booked(plan, *span), asked)
    named = [place for place in places if asked.find.lower() in place.name.lower()]
    return tuple(_lane(place, place.name, Standing.PLACE, booked) for place in named)


def _person_lanes(plan: Plan, asked: Asked) -> tuple[BoardRow, ...]:
    _, people = read.places_and_people()
    booked = _by_day(read.person_bookings(plan, at_minute(asked.first, 0), at_minute(asked.last, 0)))
    named = [person for person in people if asked.find.lower() in person.name.lower()]
    return tuple(_lane(person, person.short_name, Standing.PERSON, booked) for person in named)


def _lane(row: Place | Person, name: str, standing: Standing, booked: Mapping[int, tuple[BoardJob, ...]]) -> BoardRow:
    return BoardRow(key=f"{standing.value}-{row.pk}", name=name, standing=standing, jobs=booked.get(row.pk, ()))


def _by_day(bookings: Iterable[read.Booking]) -> dict[int, tuple[BoardJob, ...]]:
    """One mark a day: its number is that of the day's jobs, its fill the trade of most of them."""
    days: dict[tuple[int, date], list[read.Booking]] = defaultdict(list)
    for booking in bookings:
        days[booking.who, local(booking.starts_at).date()].append(booking)
    found: dict[int, list[BoardJob]] = defaultdict(list)
    for (who, day), jobs in sorted(days.items()):
        trades = Counter(job.trade for job in jobs)
        trade = TradeGroup(max(sorted(trades), key=lambda each: trades[each]))
        named = ", ".join(f"{job.boat}: {job.job}" for job in jobs)
        group = TradeGroup.LAUNCH if trade is TradeGroup.MOORING else trade  # a buoy has no room for a number
        found[who].append(BoardJob(day, day, str(len(jobs))[:2], named, group))
    return {who: tuple(jobs) for who, jobs in found.items()}


def _by_night(stays: Iterable[PlannedStay], asked: Asked) -> dict[int, tuple[BoardJob, ...]]:
    """One mark for each night that a berth is taken: its number is that of the boats that lie there."""
    nights: dict[tuple[int, date], list[str]] = defaultdict(list)
    for stay in stays:
        day, last = max(asked.first, local(stay.starts_at).date()), min(asked.last, local(stay.ends_at).date())
        while day < last:
            nights[stay.place_id, day].append(boat_name(stay.stay.order))
            day += timedelta(days=1)
    found: dict[int, list[BoardJob]] = defaultdict(list)
    for (place, day), boats in sorted(nights.items()):
        words = _("the night after: {boats}").format(boats=", ".join(boats))
        found[place].append(BoardJob(day, day, str(len(boats))[:2], words, TradeGroup.YARD))
    return {place: tuple(jobs) for place, jobs in found.items()}


def _load(plan: Plan, asked: Asked) -> tuple[SkillLoad, ...]:
    """Hours planned of hours there are, by the trade in which the plan books each person most. Two queries."""
    trades = read.trades_of_people(plan)
    weeks: dict[TradeGroup, dict[date, list[PlannedWeek]]] = defaultdict(lambda: defaultdict(list))
    names: dict[TradeGroup, dict[str, None]] = defaultdict(dict)
    for week in read.person_weeks(plan, asked.first, asked.last):
        trade = TradeGroup(trades.get(week.person_id, TradeGroup.YARD))
        group = TradeGroup.LAUNCH if trade is TradeGroup.MOORING else trade
        weeks[group][week.monday].append(week)
        names[group][week.person.short_name] = None
    return tuple(
        SkillLoad(f"{GROUPS[group]}: {', '.join(names[group])}", group, _weeks(weeks[group]))
        for group in GROUPS
        if group in weeks
    )


def _weeks(weeks: Mapping[date, Sequence[PlannedWeek]]) -> tuple[WeekHours, ...]:
    return tuple(
        WeekHours(monday, sum(row.planned_min for row in rows) / 60, sum(row.available_min for row in rows) / 60)
        for monday, rows in sorted(weeks.items())
    )
