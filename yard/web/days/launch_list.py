"""The launch list: every tide of two weeks, with the boats that the plan puts on it and what the free ones float."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import YardSettings
from yard.pictures.launch_list import LaunchListPicture, lay_out
from yard.pictures.launch_list_input import LaunchListInput, ListedBoat, ListedTide
from yard.pictures.lettering import clock, height_text, weekday_day_month
from yard.pictures.shapes import CurvePoint, Span
from yard.queries.launches import Berths, ShutAndOpen
from yard.services.read_problem import WaterLevel
from yard.web.days.ramp_tides import Tide, Yardful, her_water, read_tides, shop_hours
from yard.web.days.ramp_work import RampWork, boat_address
from yard.web.days.water import (
    FLOAT_OFF_MIN,
    ROUNDING_M,
    best_base_m,
    runs_of,
    springs_and_neaps,
)
from yard.web.units import at_minute, height, height_unit, local, minute_on

DAYS_SHOWN = 14
CURVE_STEP_MIN = 10
WORTH_SAYING = 0.1
"""A tenth of the unit shown: heights have one decimal."""
BELONGS_MIN = 400
"""Work that lies farther from every high water belongs to none; there is always one nearer (12 h 25 min apart)."""


@dataclass(frozen=True)
class LaunchList:
    """picture: the two weeks laid out. next_boat: of the heading. not_drawn: work whose water cannot be judged.

    gauge: that a reading of the gauge has moved windows, "" where none has.
    """

    picture: LaunchListPicture
    next_boat: RampWork | None
    next_words: str
    not_drawn: tuple[str, ...]
    fullest: str
    gauge: str = ""


def launch_list(yardful: Yardful, first: date, *, now: datetime) -> LaunchList:
    """The list of DAYS_SHOWN days from `first`."""
    tides = read_tides(yardful, first)
    taken = _by_tide(yardful.work, tides)
    last = first + timedelta(days=DAYS_SHOWN)
    turns = springs_and_neaps(yardful.source, first, DAYS_SHOWN)
    shown = [place for place, tide in enumerate(tides) if first <= tide.day < last]
    numbers = {id(work): number for number, work in enumerate(_in_order(shown, taken), start=1)}
    listed = []
    for place in shown:
        day = tides[place].day
        starts_day = not any(tides[before].day == day for before in shown if before < place)
        word = turns.get(day, "") if starts_day else ""
        listed.append(_listed(yardful, tides, taken, place, numbers, turn=word, counts_berths=starts_day))
    unit = height_unit(yardful.yard)
    picture = lay_out(LaunchListInput(tuple(listed), berths=yardful.berths.capacity, height_unit=unit))
    starts_late = first > local(now).date()  # a list of later weeks does not know who is next
    ahead = (
        []
        if starts_late
        else sorted((w for w in yardful.work if w.done_at is None and w.wet[0] >= now), key=lambda w: w.wet[0])
    )
    nearest = ahead[0] if ahead else None
    return LaunchList(
        picture=picture,
        next_boat=nearest,
        next_words=_floats_words(nearest) if nearest else "",
        not_drawn=tuple(_not_drawn(work) for work in _in_order(shown, taken) if isinstance(work.level, str)),
        fullest=_fullest(yardful.berths, first),
        gauge="" if yardful.gauge is None else yardful.gauge.warning,
    )


def _floats_words(work: RampWork) -> str:
    """ "Sat 8 May, floats off at 12:00" """
    at = local(work.wet[0])
    words = _("{day}, floats on at {time}") if work.hauls else _("{day}, floats off at {time}")
    return words.format(day=weekday_day_month(at.date()), time=said(at, "H:i"))


def _by_tide(work: Sequence[RampWork], tides: Sequence[Tide]) -> dict[int, list[RampWork]]:
    """Work by the place of the tide whose high water is nearest to its middle."""
    found: dict[int, list[RampWork]] = {}
    for each in sorted(work, key=lambda w: w.wet):
        middle = each.wet[0] + (each.wet[1] - each.wet[0]) / 2
        away = [abs((tide.event.at - middle).total_seconds()) / 60 for tide in tides]
        if away and min(away) <= BELONGS_MIN:
            found.setdefault(away.index(min(away)), []).append(each)
    return found


def _in_order(shown: Sequence[int], taken: dict[int, list[RampWork]]) -> list[RampWork]:
    return [work for place in shown for work in taken.get(place, [])]


def _listed(
    yardful: Yardful,
    tides: Sequence[Tide],
    taken: dict[int, list[RampWork]],
    place: int,
    numbers: dict[int, int],
    *,
    turn: str,
    counts_berths: bool,
) -> ListedTide:
    tide, yard = tides[place], yardful.yard
    here = taken.get(place, [])
    floats_up_to, hours_note = _floats_up_to(tide, yard, yardful.open)
    boats = [
        _boat(yardful, tides, taken, place, work, numbers[id(work)])
        for work in here
        if isinstance(work.level, WaterLevel)
    ]
    counted = counts_berths and yardful.berths.capacity > 0
    return ListedTide(
        day=tide.day,
        high_water_min=tide.high_min,
        height=height(tide.event.height_m, yard),
        light=tide.light,
        curve=tuple(
            CurvePoint(minute, height(float(metres), yard))
            for minute, metres in zip(tide.minutes[::CURVE_STEP_MIN], tide.heights[::CURVE_STEP_MIN], strict=True)
        ),
        springs_or_neaps=turn,
        closed_reason=tide.shut,
        boats=tuple(boats),
        floats_up_to=floats_up_to,
        add_url=reverse("tide_boats", args=[tide.day.isoformat(), tide.high_min]),
        crew_note=_crew_note(here, tide, yardful.open) if here else hours_note,
        note="; ".join(_not_drawn(work) for work in here if isinstance(work.level, str)),
        berths_tonight=nights_taken(yardful.berths, tide.day) if counted else None,
    )


def _boat(
    yardful: Yardful,
    tides: Sequence[Tide],
    taken: dict[int, list[RampWork]],
    place: int,
    work: RampWork,
    number: int,
) -> ListedBoat:
    tide, yard, level = tides[place], yardful.yard, work.level
    assert isinstance(level, WaterLevel)
    return ListedBoat(
        number=number,
        name=work.name,
        needs=height(level.rising_m, yard),
        float_off=_span(work.wet, tide.day),
        water=her_water(tide, level.rising_m - yard.margin_rising_m),
        load=_span(work.before, tide.day) if work.before else None,
        trailer_back=_span(work.afterwards, tide.day) if work.afterwards else None,
        crew=work.crew,
        berth=work.berth,
        after=_("{mooring} (haul)").format(mooring=work.after).strip() if work.hauls else work.after,
        reserve="" if work.done_at else _reserve(yard, tides, taken, place, level),
        waits_on=work.waits_on,
        afloat_text=_("done {time}").format(time=said(local(work.done_at), "H:i")) if work.done_at else "",
        url=boat_address(work.boat),
    )


def _span(stretch: tuple[datetime, datetime], day: date) -> Span:
    starts, ends = (minute_on(at, day) for at in stretch)
    return Span(starts, max(starts, ends))  # on the night the clock goes back, its hands may run backwards


def _reserve(
    yard: YardSettings, tides: Sequence[Tide], taken: dict[int, list[RampWork]], place: int, level: WaterLevel
) -> str:
    """The next tide that floats her in light and in shop hours, and who wants the trailer and the crew then."""
    needs = level.rising_m - yard.margin_rising_m
    for later in range(place + 1, len(tides)):
        tide = tides[later]
        base = tide.manned_base_m
        if tide.shut or base is None or base < needs - ROUNDING_M:
            continue
        others = ", ".join(work.name for work in taken.get(later, []))
        words = f"{said(tide.day, 'D j')}, {_hour_of(tide, needs)}"
        return _("{tide}, {boats} too").format(tide=words, boats=others) if others else words
    return _("none in three weeks")


def _hour_of(tide: Tide, base_m: float) -> str:
    """High water where people are there to float her at it; else the nearest hour to it when they are, and which way
    the tide runs then.
    """
    runs = runs_of(tide.manned & (tide.spare >= base_m - ROUNDING_M))
    spans = [(tide.minutes[first], tide.minutes[last]) for first, last in runs if last - first >= FLOAT_OFF_MIN - 1]
    high = tide.high_min
    if not spans or any(first <= high <= last for first, last in spans):
        return clock(high)
    first, last = min(spans, key=lambda span: min(abs(span[0] - high), abs(span[1] - high)))
    if first > high:
        return _("{time} on the ebb").format(time=clock(first))
    return _("{time} on the flood").format(time=clock(last + 1 - FLOAT_OFF_MIN))


def _crew_note(here: Sequence[RampWork], tide: Tide, told: ShutAndOpen) -> str:
    """An early or a late crew: work on this tide before the shop opens or after it closes."""
    hours = shop_hours(told, tide.day)
    if hours is None:
        return ""
    first = min(part[1] for work in here for part in work.parts)
    last = max(part[2] for work in here for part in work.parts)
    notes = []
    if minute_on(first, tide.day) < hours.starts_min:
        notes.append(_("crew from {time}").format(time=said(local(first), "H:i")))
    if minute_on(last, tide.day) > hours.ends_min:
        notes.append(_("crew until {time}").format(time=said(local(last), "H:i")))
    return ", ".join(notes)


def _floats_up_to(tide: Tide, yard: YardSettings, told: ShutAndOpen) -> tuple[float | None, str]:
    """The most that has its minutes in shop hours, and what an early or a late crew would add, in words."""

    def needs(base: float | None) -> float | None:
        return None if base is None else height(base + yard.margin_rising_m, yard)

    manned, lit = needs(tide.manned_base_m), needs(best_base_m(tide.spare, tide.lit))
    hours = shop_hours(told, tide.day)
    if lit is None or hours is None or (manned is not None and lit - manned < WORTH_SAYING):
        return (manned if manned is not None else lit), ""
    early = tide.high_min < hours.starts_min + hours.length_min / 2
    if manned is None:
        return lit, _("with an early crew") if early else _("with a late crew")
    words = _("in hours, {height} with an early crew") if early else _("in hours, {height} with a late crew")
    return manned, words.format(height=height_text(lit))


def nights_taken(berths: Berths, day: date) -> int:
    """Boats that lie at a berth in the night after that day: at its midnight."""
    midnight = at_minute(day, 1440)
    return len({stay.stay_id for stay in berths.stays if stay.starts_at < midnight <= stay.ends_at}) + berths.others


def _fullest(berths: Berths, first: date) -> str:
    if not berths.capacity:
        return ""
    taken = {first + timedelta(days=n): nights_taken(berths, first + timedelta(days=n)) for n in range(DAYS_SHOWN)}
    day = max(taken, key=lambda each: (taken[each], -each.toordinal()))
    if not taken[day]:
        return _("No boat lies at a berth.")
    words = _("Berths are fullest on {day}: {taken} of {berths}.")
    return words.format(day=weekday_day_month(day), taken=taken[day], berths=berths.capacity)


def _not_drawn(work: RampWork) -> str:
    time = said(local(work.wet[0]), "H:i")
    return _("{boat} at {time}: {why}").format(boat=work.name, time=time, why=work.level)
