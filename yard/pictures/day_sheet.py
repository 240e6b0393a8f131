"""The day sheet: light, tide, gusts, water for each boat, people and places on one axis of time.

Drawn at the size of a landscape page and enlarged on the screen.
"""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.day_sheet_input import DaySheetInput, GustLimit, PersonDay, PlaceDay, WaterFor
from yard.pictures.labels import keep_clear, label_box
from yard.pictures.lettering import clock, clock_span, cut, height_text, text_width, weekday_day_month
from yard.pictures.shapes import Label, Rect, Scale, Span, Stroke, number_text, tenth
from yard.pictures.sheet_bars import SheetBar, lay_out_person_bar, lay_out_place_bar
from yard.pictures.tide_band import BandRoom, BandValues, TideBand, lay_out_band
from yard.pictures.tide_curve import NowLine, clear_of_now, now_line, tide_words
from yard.speech import _, ngettext

WIDTH = 1056.0  # a landscape Letter page inside 8 mm margins at 96 to the inch, rounded up; A4 is wider
PAGE_HEIGHT = 624.0  # what both leave for the picture under the head and above the foot
LEFT = 100.0
HOURS_Y, BAND_TOP, BAND_BOTTOM = 14.0, 20.0, 134.0
GUSTS_Y, GUSTS_RULE = 149.0, 155.0
WATER_TOP, WATER_STEP = 164.0, 13.0
NAME_BESIDE_FROM = 170.0  # from here on a name fits between the heads of the rows and the line
PERSON_HEIGHT, LEAST_PERSON_HEIGHT = 34.5, 20.0
PLACE_HEIGHT, LEAST_PLACE_HEIGHT = 15.0, 13.0


@dataclass(frozen=True, slots=True)
class WaterLine:
    """When there is water for one boat: a line with ends, number and name to its left, its end to its right."""

    line: Stroke
    number: str
    boat: str
    words: Label
    until: Label
    title: str


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A person or a place. off_hours: shaded parts; meal: the word in its place."""

    name: Label
    detail: Label | None
    top: float
    height: float
    rule: Stroke
    off_hours: tuple[Rect, ...]
    meal: Label | None
    bars: tuple[SheetBar, ...]


@dataclass(frozen=True, slots=True)
class DaySheetPicture:
    """gust_boxes stand round the figures over the limit; hour_rules cross the rows of people and places.

    px_per_min: units of the picture for a minute of the day.
    """

    width: float
    height: float
    px_per_min: float
    band: TideBand
    left_labels: tuple[Label, ...]
    gusts: tuple[Label, ...]
    gust_boxes: tuple[Rect, ...]
    rules: tuple[Stroke, ...]
    water_for: tuple[WaterLine, ...]
    people: tuple[SheetRow, ...]
    places: tuple[SheetRow, ...]
    hour_rules: tuple[Stroke, ...]
    now: NowLine | None
    limit_text: str
    summary: str


@dataclass(frozen=True, slots=True)
class _Rooms:
    """Heights of the sheet's parts, from the count of rows."""

    people_top: float
    person_height: float
    places_top: float
    place_height: float
    bottom: float


def lay_out(values: DaySheetInput) -> DaySheetPicture:
    """Place the day. More rows are lower rows; only a very full day makes the picture taller than a page,
    and the page then shrinks it."""
    across = Scale(values.axis.starts_min, values.axis.ends_min, LEFT, WIDTH)
    rooms = _rooms(values)
    now = now_line(values.now_min, values.axis, across, top=BAND_TOP, bottom=rooms.bottom - 2)
    band = clear_of_now(_band(values), now)
    boxed = {gust.minute for gust in values.gusts if values.gust_limit and gust.kn > values.gust_limit.kn}
    return DaySheetPicture(
        width=WIDTH,
        height=rooms.bottom,
        px_per_min=round((WIDTH - LEFT) / (values.axis.ends_min - values.axis.starts_min), 4),
        band=band,
        left_labels=_left_labels(values),
        gusts=_gusts(values, across, boxed),
        gust_boxes=_gust_boxes(values, across, boxed),
        rules=_rules(rooms),
        water_for=tuple(_water_line(water, place, across, values) for place, water in enumerate(values.water_for)),
        people=tuple(_person(person, place, across, values, rooms) for place, person in enumerate(values.people)),
        places=tuple(_place(row, place, across, values, rooms) for place, row in enumerate(values.places)),
        hour_rules=_hour_rules(band, rooms),
        now=now,
        limit_text="" if values.gust_limit is None else _limit_text(values.gust_limit),
        summary=_summary(values),
    )


def _limit_text(limit: GustLimit | None) -> str:
    return "" if limit is None else _("over {whose} {kn} kn").format(whose=limit.whose, kn=f"{limit.kn:g}")


def _rooms(values: DaySheetInput) -> _Rooms:
    people_top = tenth(WATER_TOP + WATER_STEP * max(len(values.water_for), 2) - 1)
    place_height = PLACE_HEIGHT if len(values.places) <= 10 else LEAST_PLACE_HEIGHT
    room = PAGE_HEIGHT - people_top - len(values.places) * place_height - 8
    share = room / len(values.people) if values.people else PERSON_HEIGHT
    person_height = tenth(min(max(share, LEAST_PERSON_HEIGHT), PERSON_HEIGHT))
    places_top = tenth(people_top + len(values.people) * person_height + 4)
    return _Rooms(
        people_top, person_height, places_top, place_height, tenth(places_top + len(values.places) * place_height + 4)
    )


def _band(values: DaySheetInput) -> TideBand:
    hours = [person.hours for person in values.people if person.hours is not None]
    work = Span(min(h.starts_min for h in hours), max(h.ends_min for h in hours)) if hours else None
    return lay_out_band(
        BandValues(
            axis=values.axis,
            curve=values.curve,
            extremes=values.extremes,
            level=values.ramp,
            sunrise_min=values.sunrise_min,
            sunset_min=values.sunset_min,
            height_unit=values.height_unit,
            work=work,
        ),
        BandRoom(LEFT, WIDTH, BAND_TOP, BAND_BOTTOM, HOURS_Y),
    )


def _left_labels(values: DaySheetInput) -> tuple[Label, ...]:
    """The names of the bands, and in words what a band cannot show because it is not known."""
    tide = _("predicted") if values.curve else _("no tide station: water not known")
    labels = [Label(0, 32, _("Tide"), "x11 bd"), Label(0, 45, _("predicted"), "x10 c2")]
    if not values.curve:
        labels[1] = Label(LEFT + 6, 60, tide, "x11 c2")
    labels += [Label(0, y, words, "x10 c2") for y, words in zip((102, 115), _light_words(values), strict=True) if words]
    labels.append(Label(0, GUSTS_Y, _("Gusts"), "x11 bd"))
    labels.append(Label(LEFT - 6, GUSTS_Y, "kn", "x10 c2 end"))
    if not values.gusts:
        labels.append(Label(LEFT + 6, GUSTS_Y, _("no forecast for this day"), "x11 c2"))
    labels += [Label(0, 168, _("Water for"), "x11 bd"), Label(0, 181, _("to float off"), "x10 c2")]
    if not values.water_for:
        labels.append(Label(LEFT + 6, 168, _("no boat floats off"), "x11 c2"))
    return tuple(labels)


def _light_words(values: DaySheetInput) -> tuple[str, str]:
    if values.sunrise_min is None or values.sunset_min is None:
        return "", ""
    return (
        _("light {time}").format(time=clock(values.sunrise_min)),
        _("to {time}").format(time=clock(values.sunset_min)),
    )


def _gusts(values: DaySheetInput, across: Scale, boxed: set[int]) -> tuple[Label, ...]:
    labels = [
        Label(across.at(gust.minute), GUSTS_Y, f"{gust.kn:.0f}", "x11 mid bd" if gust.minute in boxed else "x11 mid")
        for gust in values.gusts
        if values.axis.starts_min < gust.minute < values.axis.ends_min
    ]
    fitting = [label for label in labels if label_box(label).right <= WIDTH]
    return keep_clear(sorted(fitting, key=lambda label: "bd" not in label.css))


def _gust_boxes(values: DaySheetInput, across: Scale, boxed: set[int]) -> tuple[Rect, ...]:
    shown = {label.x for label in _gusts(values, across, boxed) if "bd" in label.css.split()}
    width = 24.0
    return tuple(
        Rect(tenth(min(x - width / 2, WIDTH - width - 1)), GUSTS_Y - 12, width, 15, "over") for x in sorted(shown)
    )


def _rules(rooms: _Rooms) -> tuple[Stroke, ...]:
    width = number_text(WIDTH)
    return (
        Stroke(f"M0 {number_text(GUSTS_RULE)}H{width}", "l-rule"),
        Stroke(f"M0 {number_text(rooms.people_top)}H{width}", "l-ink"),
        Stroke(f"M0 {number_text(rooms.places_top)}H{width}", "l-ink"),
        Stroke(f"M0 {number_text(rooms.bottom - 3)}H{width}", "l-ink"),
    )


def _hour_rules(band: TideBand, rooms: _Rooms) -> tuple[Stroke, ...]:
    ends = (number_text(rooms.people_top + 1), number_text(rooms.bottom - 3))
    starts = (rule.d.split(" ")[0] for rule in band.hours)
    return tuple(Stroke(f"{start} {ends[0]}V{ends[1]}", "l-rule") for start in starts)


def _water_line(water: WaterFor, place: int, across: Scale, values: DaySheetInput) -> WaterLine:
    """The words stand left of the line; where it begins too near the edge they stand in it, and it gives way."""
    y = tenth(WATER_TOP + place * WATER_STEP)
    left, right = across.clamped(water.span.starts_min), across.clamped(water.span.ends_min)
    rest = f" {height_text(water.needs)} {values.height_unit}, {clock(water.span.starts_min)}"
    fixed = text_width(f"{water.number} ", 10.5, bold=True) + text_width(rest, 10.5)
    is_left = left - LEFT > NAME_BESIDE_FROM
    room = (left - LEFT - 12 if is_left else min(200.0, WIDTH - left - 60)) - fixed
    boat = cut(water.boat, 11.5, room, name=True)
    line_from = left if is_left else min(left + fixed + text_width(boat, 11.5, name=True) + 14, right)
    until = _until(water, right, y)
    line_to = max(right if until.x > right else label_box(until).x - 4, line_from)
    return WaterLine(
        line=Stroke(_water_d((left, right), (line_from, line_to), y), "l-water"),
        number=str(water.number),
        boat=boat,
        words=Label(tenth(left - 6 if is_left else left + 6), tenth(y + 4), rest, "x10 end" if is_left else "x10"),
        until=until,
        title=_("{number} {boat}: water {hours}").format(
            number=water.number, boat=water.boat, hours=clock_span(water.span.starts_min, water.span.ends_min)
        ),
    )


def _water_d(ends: tuple[float, float], shaft: tuple[float, float], y: float) -> str:
    """Upright ends and the line between them, which may be shorter to leave room for words."""
    uprights = "".join(f"M{number_text(x)} {number_text(y - 4)}V{number_text(y + 4)}" for x in ends)
    return f"{uprights}M{number_text(shaft[0])} {number_text(y)}H{number_text(shaft[1])}"


def _until(water: WaterFor, right: float, y: float) -> Label:
    if right + 40 <= WIDTH:
        return Label(tenth(right + 6), tenth(y + 4), clock(water.span.ends_min), "x10")
    return Label(tenth(right - 6), tenth(y + 4), clock(water.span.ends_min), "x10 end")


def _person(person: PersonDay, place: int, across: Scale, values: DaySheetInput, rooms: _Rooms) -> SheetRow:
    top = tenth(rooms.people_top + place * rooms.person_height)
    two_lines = rooms.person_height >= 27
    name_y = top + 16 if two_lines else top + rooms.person_height / 2 + 4.5
    detail = (
        Label(0, tenth(top + 29), cut(person.skills, 10.5, LEFT - 4), "x10 c2", person.skills) if two_lines else None
    )
    return SheetRow(
        name=Label(0, tenth(name_y), cut(person.name, 13.5, LEFT - 4, bold=True), "x13 bd", person.name),
        detail=detail,
        top=top,
        height=rooms.person_height,
        rule=Stroke(f"M0 {number_text(top + rooms.person_height)}H{number_text(WIDTH)}", "l-rule2"),
        off_hours=tuple(_off_hours(person.hours, across, values.axis, top, rooms.person_height)),
        meal=_meal(person, across, values.axis, tenth(top + rooms.person_height / 2 + 4)),
        bars=tuple(
            bar
            for job in person.jobs
            if (bar := lay_out_person_bar(job, across, values.axis, top + 1.5, rooms.person_height - 3)) is not None
        ),
    )


def _off_hours(hours: Span | None, across: Scale, axis: Span, top: float, height: float) -> list[Rect]:
    """Shade where the person is not there: all day for one who is away."""
    parts = [axis] if hours is None or not hours.meets(axis) else []
    if hours is not None and not parts:
        if hours.starts_min > axis.starts_min:
            parts.append(Span(axis.starts_min, hours.starts_min))
        if hours.ends_min < axis.ends_min:
            parts.append(Span(hours.ends_min, axis.ends_min))
    return [
        Rect(
            across.at(part.starts_min),
            tenth(top + 1),
            tenth(across.at(part.ends_min) - across.at(part.starts_min)),
            tenth(height - 1),
            "f-rest",
        )
        for part in parts
    ]


def _meal(person: PersonDay, across: Scale, axis: Span, y: float) -> Label | None:
    """The word, if the meal is on the axis, wide enough for it and no job runs over it; "away" for who is away."""
    if person.hours is None and not person.jobs:
        return Label(tenth((across.place_from + across.place_to) / 2), y, _("away"), "x10 mid c2")
    meal = person.meal
    if meal is None or not (axis.starts_min <= meal.starts_min and meal.ends_min <= axis.ends_min):
        return None
    word = _("meal")
    width = across.at(meal.ends_min) - across.at(meal.starts_min)
    if width < text_width(word, 10.5) or any(job.span.meets(meal) for job in person.jobs):
        return None
    return Label(tenth(across.at(meal.starts_min) + width / 2), y, word, "x10 mid c2")


def _place(row: PlaceDay, place: int, across: Scale, values: DaySheetInput, rooms: _Rooms) -> SheetRow:
    top = tenth(rooms.places_top + place * rooms.place_height)
    return SheetRow(
        name=Label(0, tenth(top + 11), cut(row.name, 10.5, LEFT - 4), "x10", row.name),
        detail=None,
        top=top,
        height=rooms.place_height,
        rule=Stroke(f"M0 {number_text(top + rooms.place_height)}H{number_text(WIDTH)}", "l-rule"),
        off_hours=(),
        meal=None,
        bars=tuple(
            bar
            for job in row.jobs
            if (bar := lay_out_place_bar(job, across, values.axis, top + 1.5, rooms.place_height - 3)) is not None
        ),
    )


def _summary(values: DaySheetInput) -> str:
    jobs = {job.number for person in values.people for job in person.jobs}
    done = ngettext("{n} job", "{n} jobs", len(jobs)).format(n=len(jobs)) if jobs else _("nothing planned")
    people = ngettext("{n} person", "{n} people", len(values.people)).format(n=len(values.people))
    places = ngettext("{n} place", "{n} places", len(values.places)).format(n=len(values.places))
    told = _("{day}, {hours}: {done}, {people}, {places}.").format(
        day=weekday_day_month(values.day),
        hours=clock_span(values.axis.starts_min, values.axis.ends_min),
        done=done,
        people=people,
        places=places,
    )
    return f"{told} {tide_words(values.extremes, values.height_unit)}"
