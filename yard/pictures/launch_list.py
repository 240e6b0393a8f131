"""The launch list: one line a tide, every tide hung on its high water, her boats under it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.day_names import said
from yard.pictures.launch_list_input import LaunchListInput, Light, ListedBoat, ListedTide
from yard.pictures.lettering import clock, cut, days_span, height_text, weekday_day_month
from yard.pictures.shapes import (
    CurvePoint,
    Label,
    Rect,
    Scale,
    Span,
    Stroke,
    area_d,
    cut_curve,
    line_d,
    number_text,
    tenth,
)
from yard.speech import _, gettext_noop, ngettext

PICTURE_WIDTH = 320.0
LEAST_REACH_MIN = 165  # each way from high water: holds every load and trailer of the yard's usual launch
MOST_REACH_MIN = 300  # a boat of little draft floats long after; beyond this an arrow and the hour stand at the edge
LEAST_HOUR_WIDTH = 50.0  # from here on every hour is named, below it every second
HILL_USED, HILL_FREE, HILL_DARK, LANE = 28.0, 22.0, 15.0, 24.0
NAME_SIZE, NAME_ROOM = 18.0, 138.0


_LIGHT = {
    Light.LIGHT: gettext_noop("light"),
    Light.DUSK: gettext_noop("dusk"),
    Light.DARK: gettext_noop("dark"),
}


@dataclass(frozen=True, slots=True)
class Hill:
    """The water about a high water: area and outline, and the line it hangs on."""

    width: float
    height: float
    area: Stroke | None
    outline: Stroke | None
    high_water: Stroke


@dataclass(frozen=True, slots=True)
class BoatLine:
    """A boat's words for the table's columns and shapes for its lane.

    band: her water; edges: where it begins and ends, where that is inside the picture; boxes: load and
    trailer back; hull: floating off. Each is None or absent if it lies outside the picture; then `beyond` is an
    arrow with the hour at the picture's edge.
    """

    boat: ListedBoat
    name_cut: str
    needs_text: str
    window_text: str
    floats_off_text: str
    trailer_text: str
    height: float
    band: Rect | None
    edges: Stroke | None
    boxes: tuple[Rect, ...]
    hull: Stroke | None
    beyond: Label | None
    high_water: Stroke
    is_done: bool
    css: str


@dataclass(frozen=True, slots=True)
class TideLine:
    """A tide's words and hill. css: used, free, shut or dark; names_day: the first tide of its day, and the
    first one in light after a dark one."""

    day: date
    weekday: str
    day_number: str
    month: str
    day_text: str
    names_day: bool
    time_text: str
    height_text: str
    light: Light
    light_text: str
    springs_or_neaps: str
    css: str
    hill: Hill
    boats: tuple[BoatLine, ...]
    sum_text: str
    crew_note: str
    note: str
    closed_reason: str
    free_text: str
    add_url: str
    berths_text: str


@dataclass(frozen=True, slots=True)
class LaunchListPicture:
    """picture_axis: the hours over the pictures, high water in the middle."""

    picture_width: float
    picture_axis: tuple[Label, ...]
    tides: tuple[TideLine, ...]
    height_unit: str
    summary: str


def lay_out(values: LaunchListInput) -> LaunchListPicture:
    """Place every tide and boat; hills share one scale of height, so springs stand above neaps."""
    reach = _reach(values)
    low, high = _height_range(values, reach)
    lines = []
    named: set[tuple[date, bool]] = set()
    for tide in values.tides:
        is_dark = tide.light is Light.DARK
        starts_day = not any(day == tide.day for day, _ in named)
        names_day = starts_day or (not is_dark and (tide.day, False) not in named)
        lines.append(_tide_line(tide, values, (low, high), reach, starts_day=starts_day, names_day=names_day))
        named.add((tide.day, is_dark))
    return LaunchListPicture(PICTURE_WIDTH, _axis_labels(reach), tuple(lines), values.height_unit, _summary(values))


def _reach(values: LaunchListInput) -> int:
    """Minutes each way from high water: as far as the boats of these tides are at work, by quarter hours."""
    spans = [
        (span, tide.high_water_min)
        for tide in values.tides
        for boat in tide.boats
        for span in (boat.float_off, boat.load, boat.trailer_back)
        if span is not None
    ]
    farthest = max((max(high - span.starts_min, span.ends_min - high) for span, high in spans), default=0)
    return min(max(-(-farthest // 15) * 15, LEAST_REACH_MIN), MOST_REACH_MIN)


def _across(reach: int) -> Scale:
    return Scale(-reach, reach, 0.0, PICTURE_WIDTH)


def _axis_labels(reach: int) -> tuple[Label, ...]:
    across = _across(reach)
    step = 1 if across.at(60) - across.at(0) >= LEAST_HOUR_WIDTH else 2
    hours = [h for h in range(step, reach // 60 + 1, step) if reach - 60 * h >= 20]
    sides = [
        Label(across.at(60 * h), 12.0, f"{h:+d} h".replace("-", "−"), "x11 mid c2 ax1" if abs(h) == 1 else "x11 mid c2")
        for h in (*(-h for h in reversed(hours)), *hours)
    ]
    return (*sides[: len(hours)], Label(across.at(0), 12.0, _("high water"), "x11 mid bd"), *sides[len(hours) :])


def _height_range(values: LaunchListInput, reach: int) -> tuple[float, float]:
    """Lowest and highest water shown by any hill; an empty list gives any two numbers."""
    heights = [point.height for tide in values.tides for point in _hill_curve(tide, reach)]
    heights += [tide.height for tide in values.tides]
    low, high = (min(heights), max(heights)) if heights else (0.0, 1.0)
    return low, high if high > low else low + 1


def _hill_curve(tide: ListedTide, reach: int) -> tuple[CurvePoint, ...]:
    """The tide's curve within reach of its high water."""
    return cut_curve(tide.curve, Span(tide.high_water_min - reach, tide.high_water_min + reach))


def _kind(tide: ListedTide) -> str:
    """used, shut, free or dark: how much room the tide's line gets."""
    if tide.boats:
        return "used"
    if tide.light is Light.DARK:
        return "dark"
    return "shut" if tide.closed_reason else "free"


def _tide_line(
    tide: ListedTide,
    values: LaunchListInput,
    heights: tuple[float, float],
    reach: int,
    *,
    starts_day: bool,
    names_day: bool,
) -> TideLine:
    kind = _kind(tide)
    return TideLine(
        day=tide.day,
        weekday=said(tide.day, "D"),
        day_number=str(tide.day.day),
        month=said(tide.day, "M"),
        day_text=weekday_day_month(tide.day),
        names_day=names_day,
        time_text=clock(tide.high_water_min),
        height_text=height_text(tide.height),
        light=tide.light,
        light_text=_(_LIGHT[tide.light]),
        springs_or_neaps=tide.springs_or_neaps,
        css=f"{kind} nd" if starts_day else kind,
        hill=_hill(tide, heights, reach, {"used": HILL_USED, "dark": HILL_DARK}.get(kind, HILL_FREE)),
        boats=tuple(_boat_line(boat, tide, reach) for boat in tide.boats),
        sum_text=_boats(len(tide.boats)) if tide.boats else "",
        crew_note=tide.crew_note,
        note=tide.note,
        closed_reason="" if kind == "dark" else tide.closed_reason,
        free_text=_free_text(tide, values.height_unit) if kind == "free" else "",
        add_url=tide.add_url,
        berths_text=""
        if tide.berths_tonight is None
        else _("{taken} of {berths}").format(taken=tide.berths_tonight, berths=values.berths),
    )


def _free_text(tide: ListedTide, unit: str) -> str:
    if tide.floats_up_to is None:
        return _("floats nobody long enough")
    return _("floats up to {height}").format(height=f"{height_text(tide.floats_up_to)} {unit}")


def _hill(tide: ListedTide, heights: tuple[float, float], reach: int, height: float) -> Hill:
    up = Scale(heights[0], heights[1], height - 1, height * 0.2)
    across = _across(reach)
    points = [(across.at(p.minute - tide.high_water_min), up.at(p.height)) for p in _hill_curve(tide, reach)]
    dark = tide.light is Light.DARK
    return Hill(
        width=PICTURE_WIDTH,
        height=height,
        area=Stroke(area_d(points, height), "hill-d" if dark else "f-water") if points else None,
        outline=Stroke(line_d(points), "l-hd" if dark else "l-hl") if points else None,
        high_water=_high_water(height),
    )


def _high_water(height: float) -> Stroke:
    return Stroke(f"M{number_text(PICTURE_WIDTH / 2)} 0V{number_text(height)}", "l-hw")


def _boat_line(boat: ListedBoat, tide: ListedTide, reach: int) -> BoatLine:
    load_box = _box(boat.load, tide, reach, 7.5, 9.0, "ld")
    back_box = _box(boat.trailer_back, tide, reach, 7.5, 9.0, "ld")
    band = _box(boat.water, tide, reach, 0.0, LANE, "f-water")
    done = bool(boat.afloat_text)
    return BoatLine(
        boat=boat,
        name_cut=cut(boat.name, NAME_SIZE, NAME_ROOM, name=True),
        needs_text=height_text(boat.needs),
        window_text=_("no water") if boat.water is None else _span_text(boat.water),
        floats_off_text=clock(boat.float_off.starts_min),
        trailer_text=_trailer_text(boat),
        height=LANE,
        band=band,
        edges=_edges(boat.water, tide, reach),
        boxes=tuple(box for box in (load_box, back_box) if box is not None),
        hull=_hull(boat, tide, reach),
        beyond=_beyond(boat, tide, reach),
        high_water=_high_water(LANE),
        is_done=done,
        css="b done-boat" if done else "b waiting" if boat.waits_on else "b",
    )


def _span_text(span: Span) -> str:
    return f"{clock(span.starts_min)}–{clock(span.ends_min)}"


def _trailer_text(boat: ListedBoat) -> str:
    """From loading to the trailer's return; "" when neither is planned."""
    spans = [span for span in (boat.load, boat.trailer_back) if span is not None]
    if not spans:
        return ""
    return _span_text(Span(min(span.starts_min for span in spans), max(span.ends_min for span in spans)))


def _seen(span: Span | None, tide: ListedTide, reach: int) -> Span | None:
    """The span's minutes from high water, cut to the picture; None if nothing of it is inside."""
    inside = Span(tide.high_water_min - reach, tide.high_water_min + reach)
    if span is None or not span.meets(inside):
        return None
    starts = max(span.starts_min, inside.starts_min) - tide.high_water_min
    return Span(starts, min(span.ends_min, inside.ends_min) - tide.high_water_min)


def _box(span: Span | None, tide: ListedTide, reach: int, top: float, height: float, css: str) -> Rect | None:
    seen = _seen(span, tide, reach)
    if seen is None:
        return None
    left, right = _across(reach).at(seen.starts_min), _across(reach).at(seen.ends_min)
    return Rect(left, top, tenth(right - left), height, css)


def _edges(water: Span | None, tide: ListedTide, reach: int) -> Stroke | None:
    """Upright lines where her water begins and ends, so that the band shows in black and white too."""
    if water is None:
        return None
    minutes = [minute - tide.high_water_min for minute in (water.starts_min, water.ends_min)]
    lines = [
        f"M{number_text(_across(reach).at(minute))} 0V{number_text(LANE)}" for minute in minutes if abs(minute) <= reach
    ]
    return Stroke("".join(lines), "l-win") if lines else None


def _hull(boat: ListedBoat, tide: ListedTide, reach: int) -> Stroke | None:
    seen = _seen(boat.float_off, tide, reach)
    if seen is None:
        return None
    left, right = _across(reach).at(seen.starts_min), _across(reach).at(seen.ends_min)
    ends, middle = (number_text(left), number_text(right)), number_text((left + right) / 2)
    css = "g-launch prov" if boat.waits_on else "g-launch"
    return Stroke(f"M{ends[0]} 4.5H{ends[1]}V15L{middle} 20.5L{ends[0]} 15Z", css)


def _beyond(boat: ListedBoat, tide: ListedTide, reach: int) -> Label | None:
    """Floating off outside the picture, or cut by its edge: an arrow and the hour at that edge."""
    if boat.float_off.ends_min > tide.high_water_min + reach:
        return Label(PICTURE_WIDTH - 4, 16.0, f"{clock(boat.float_off.starts_min)} →", "x12 bd end halo")
    if boat.float_off.starts_min < tide.high_water_min - reach:
        return Label(4.0, 16.0, f"← {clock(boat.float_off.starts_min)}", "x12 bd halo")
    return None


def _summary(values: LaunchListInput) -> str:
    if not values.tides:
        return _("No tides to show.")
    boats = sum(len(tide.boats) for tide in values.tides)
    used = sum(bool(tide.boats) for tide in values.tides)
    free = sum(_kind(tide) == "free" for tide in values.tides)
    told = ngettext("{boats} on {n} tide, {span}.", "{boats} on {n} tides, {span}.", used).format(
        boats=_boats(boats), n=used, span=days_span(values.tides[0].day, values.tides[-1].day)
    )
    left = ngettext("{n} tide in light free.", "{n} tides in light free.", free).format(n=free)
    return f"{told} {left}"


def _boats(number: int) -> str:
    return ngettext("{n} boat", "{n} boats", number).format(n=number)
