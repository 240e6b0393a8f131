"""The launch list: one line a tide, every tide hung on its high water, her boats under it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.pictures.launch_list_input import LaunchListInput, Light, ListedBoat, ListedTide
from yard.pictures.lettering import MONTHS, WEEKDAYS, clock, count_of, cut, height_text, weekday_day_month
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

PICTURE_WIDTH = 320.0
REACH_MIN = 165  # each way from high water: holds every load and trailer of the yard's usual launch
HILL_USED, HILL_FREE, HILL_DARK, LANE = 28.0, 22.0, 15.0, 24.0
NAME_SIZE, NAME_ROOM = 18.0, 138.0


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
    trailer back; hull: floating off. Each is None or absent if it lies outside the picture.
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
    low, high = _height_range(values)
    lines = []
    named: set[tuple[date, bool]] = set()
    for tide in values.tides:
        is_dark = tide.light is Light.DARK
        starts_day = not any(day == tide.day for day, _ in named)
        names_day = starts_day or (not is_dark and (tide.day, False) not in named)
        lines.append(_tide_line(tide, values, (low, high), starts_day=starts_day, names_day=names_day))
        named.add((tide.day, is_dark))
    return LaunchListPicture(PICTURE_WIDTH, _axis_labels(), tuple(lines), values.height_unit, _summary(values))


def _across() -> Scale:
    return Scale(-REACH_MIN, REACH_MIN, 0.0, PICTURE_WIDTH)


def _axis_labels() -> tuple[Label, ...]:
    across = _across()
    sides = [
        Label(across.at(60 * h), 12.0, f"{h:+d} h".replace("-", "−"), "x11 mid c2 ax1" if abs(h) == 1 else "x11 mid c2")
        for h in (-2, -1, 1, 2)
    ]
    return (*sides[:2], Label(across.at(0), 12.0, "high water", "x11 mid bd"), *sides[2:])


def _height_range(values: LaunchListInput) -> tuple[float, float]:
    """Lowest and highest water shown by any hill; an empty list gives any two numbers."""
    heights = [point.height for tide in values.tides for point in _hill_curve(tide)]
    heights += [tide.height for tide in values.tides]
    low, high = (min(heights), max(heights)) if heights else (0.0, 1.0)
    return low, high if high > low else low + 1


def _hill_curve(tide: ListedTide) -> tuple[CurvePoint, ...]:
    """The tide's curve within reach of its high water."""
    return cut_curve(tide.curve, Span(tide.high_water_min - REACH_MIN, tide.high_water_min + REACH_MIN))


def _kind(tide: ListedTide) -> str:
    """used, shut, free or dark: how much room the tide's line gets."""
    if tide.boats:
        return "used"
    if tide.light is Light.DARK:
        return "dark"
    return "shut" if tide.closed_reason else "free"


def _tide_line(
    tide: ListedTide, values: LaunchListInput, heights: tuple[float, float], *, starts_day: bool, names_day: bool
) -> TideLine:
    kind = _kind(tide)
    return TideLine(
        day=tide.day,
        weekday=WEEKDAYS[tide.day.weekday()],
        day_number=str(tide.day.day),
        month=MONTHS[tide.day.month - 1],
        day_text=weekday_day_month(tide.day),
        names_day=names_day,
        time_text=clock(tide.high_water_min),
        height_text=height_text(tide.height),
        light=tide.light,
        springs_or_neaps=tide.springs_or_neaps,
        css=f"{kind} nd" if starts_day else kind,
        hill=_hill(tide, heights, {"used": HILL_USED, "dark": HILL_DARK}.get(kind, HILL_FREE)),
        boats=tuple(_boat_line(boat, tide) for boat in tide.boats),
        sum_text=count_of(len(tide.boats), "boat") if tide.boats else "",
        crew_note=tide.crew_note,
        note=tide.note,
        closed_reason="" if kind == "dark" else tide.closed_reason,
        free_text=_free_text(tide, values.height_unit) if kind == "free" else "",
        add_url=tide.add_url,
        berths_text="" if tide.berths_tonight is None else f"{tide.berths_tonight} of {values.berths}",
    )


def _free_text(tide: ListedTide, unit: str) -> str:
    if tide.floats_up_to is None:
        return "floats nobody long enough"
    return f"floats up to {height_text(tide.floats_up_to)} {unit}"


def _hill(tide: ListedTide, heights: tuple[float, float], height: float) -> Hill:
    up = Scale(heights[0], heights[1], height - 1, height * 0.2)
    across = _across()
    points = [(across.at(p.minute - tide.high_water_min), up.at(p.height)) for p in _hill_curve(tide)]
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


def _boat_line(boat: ListedBoat, tide: ListedTide) -> BoatLine:
    load_box = _box(boat.load, tide, 7.5, 9.0, "ld")
    back_box = _box(boat.trailer_back, tide, 7.5, 9.0, "ld")
    band = _box(boat.water, tide, 0.0, LANE, "f-water")
    done = bool(boat.afloat_text)
    return BoatLine(
        boat=boat,
        name_cut=cut(boat.name, NAME_SIZE, NAME_ROOM, name=True),
        needs_text=height_text(boat.needs),
        window_text="no water" if boat.water is None else _span_text(boat.water),
        floats_off_text=clock(boat.float_off.starts_min),
        trailer_text=_trailer_text(boat),
        height=LANE,
        band=band,
        edges=_edges(boat.water, tide),
        boxes=tuple(box for box in (load_box, back_box) if box is not None),
        hull=_hull(boat, tide),
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


def _seen(span: Span | None, tide: ListedTide) -> Span | None:
    """The span's minutes from high water, cut to the picture; None if nothing of it is inside."""
    reach = Span(tide.high_water_min - REACH_MIN, tide.high_water_min + REACH_MIN)
    if span is None or not span.meets(reach):
        return None
    starts = max(span.starts_min, reach.starts_min) - tide.high_water_min
    return Span(starts, min(span.ends_min, reach.ends_min) - tide.high_water_min)


def _box(span: Span | None, tide: ListedTide, top: float, height: float, css: str) -> Rect | None:
    seen = _seen(span, tide)
    if seen is None:
        return None
    left, right = _across().at(seen.starts_min), _across().at(seen.ends_min)
    return Rect(left, top, tenth(right - left), height, css)


def _edges(water: Span | None, tide: ListedTide) -> Stroke | None:
    """Upright lines where her water begins and ends, so that the band shows in black and white too."""
    if water is None:
        return None
    minutes = [minute - tide.high_water_min for minute in (water.starts_min, water.ends_min)]
    lines = [
        f"M{number_text(_across().at(minute))} 0V{number_text(LANE)}" for minute in minutes if abs(minute) <= REACH_MIN
    ]
    return Stroke("".join(lines), "l-win") if lines else None


def _hull(boat: ListedBoat, tide: ListedTide) -> Stroke | None:
    seen = _seen(boat.float_off, tide)
    if seen is None:
        return None
    left, right = _across().at(seen.starts_min), _across().at(seen.ends_min)
    ends, middle = (number_text(left), number_text(right)), number_text((left + right) / 2)
    css = "g-launch prov" if boat.waits_on else "g-launch"
    return Stroke(f"M{ends[0]} 4.5H{ends[1]}V15L{middle} 20.5L{ends[0]} 15Z", css)


def _summary(values: LaunchListInput) -> str:
    if not values.tides:
        return "No tides to show."
    boats = sum(len(tide.boats) for tide in values.tides)
    used = sum(bool(tide.boats) for tide in values.tides)
    free = sum(_kind(tide) == "free" for tide in values.tides)
    span = f"{weekday_day_month(values.tides[0].day)} to {weekday_day_month(values.tides[-1].day)}"
    return f"{count_of(boats, 'boat')} on {count_of(used, 'tide')}, {span}. {count_of(free, 'tide')} in light free."
