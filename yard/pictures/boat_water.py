"""One boat's water: each day's highest water in working hours against what she needs, and the bar
that says what she needs it for. Heights are in the unit the page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.day_names import said
from yard.pictures.labels import inside, keep_clear
from yard.pictures.lettering import cut, days_span, height_text, text_width, weekday_day_month
from yard.pictures.shapes import Label, PictureValueError, Rect, Scale, Stroke, number_text, tenth
from yard.speech import _, ngettext


@dataclass(frozen=True, slots=True)
class BoatWaterDay:
    """highest: in working hours, None without them; minutes_above: minutes above her need, longest run."""

    day: date
    highest: float | None
    minutes_above: int = 0
    rest_label: str = ""
    not_ready: str = ""

    def __post_init__(self) -> None:
        if self.minutes_above < 0:
            raise PictureValueError(f"minutes_above on {self.day} is {self.minutes_above}; nought is the least")


@dataclass(frozen=True, slots=True)
class BoatWaterInput:
    """days: in order; needs: the height she needs; needs_min: minutes floating off takes;
    first_tide: the day of the first tide that floats her once she is ready, None if there is none or it is not known;
    planned: the day on which the plan has her, None if it has her not."""

    boat: str
    days: tuple[BoatWaterDay, ...]
    needs: float
    needs_min: int = 30
    first_tide: date | None = None
    height_unit: str = "ft"
    planned: date | None = None


@dataclass(frozen=True, slots=True)
class NeedsBarInput:
    """What her need is made of, from the datum up: ramp toe, trailer, draft, margin."""

    ramp_toe: float
    trailer: float
    draft: float
    margin: float
    height_unit: str = "ft"
    width: float = 567


@dataclass(frozen=True, slots=True)
class BoatWaterPicture:
    """bars: filled where she has her minutes, dashed where not; minutes: the figures under each bar."""

    width: float
    height: float
    levels: tuple[Stroke, ...]
    level_labels: tuple[Label, ...]
    bands: tuple[Rect, ...]
    bars: tuple[Rect, ...]
    minutes: tuple[Label, ...]
    days: tuple[Label, ...]
    needs: Stroke
    needs_label: Label
    first_tide: Stroke | None
    labels: tuple[Label, ...]
    row_labels: tuple[Label, ...]
    rules: tuple[Stroke, ...]
    summary: str


@dataclass(frozen=True, slots=True)
class NeedsPart:
    rect: Rect
    figure: Label
    word: Label


@dataclass(frozen=True, slots=True)
class NeedsBarPicture:
    """parts from the datum up; total_text: what she needs at the ramp."""

    width: float
    height: float
    parts: tuple[NeedsPart, ...]
    total_text: str
    summary: str


LEFT_ROOM, RIGHT_ROOM, DAY_WIDTH = 36.0, 62.0, 31.0
TOP, PLOT_TOP, BASE, MINUTES_Y, DAYS_Y, HEIGHT = 14.0, 46.0, 150.0, 164.0, 183.0, 190.0
LEAST_WIDTH = 220.0


def lay_out(values: BoatWaterInput) -> BoatWaterPicture:
    """A bar a day. The bars stand on a height below the lowest shown, not on nought."""
    plot_right = max(LEFT_ROOM + DAY_WIDTH * len(values.days), LEAST_WIDTH)
    width = plot_right + RIGHT_ROOM
    up = _height_scale(values)
    needs_y = up.clamped(values.needs)
    marks = _marks(values)
    needs_label = Label(plot_right + 5, tenth(needs_y + 4), _height(values.needs, values), "x11 bd")
    return BoatWaterPicture(
        width=width,
        height=HEIGHT,
        levels=tuple(
            Stroke(f"M{number_text(LEFT_ROOM)} {number_text(up.at(h))}H{number_text(plot_right)}", "l-rule")
            for h in _levels(up)
        ),
        level_labels=keep_clear(
            Label(LEFT_ROOM - 6, tenth(up.at(h) + 4), str(h).replace("-", "−"), "x11 c2 end") for h in _levels(up)
        ),
        bands=_bands(values),
        bars=tuple(
            _bar(shown, place, values, up) for place, shown in enumerate(values.days) if shown.highest is not None
        ),
        minutes=tuple(
            _minutes(shown, place, values) for place, shown in enumerate(values.days) if shown.highest is not None
        ),
        days=tuple(_day(shown, place, values) for place, shown in enumerate(values.days)),
        needs=Stroke(f"M{number_text(LEFT_ROOM)} {number_text(needs_y)}H{number_text(plot_right)}", "l-need"),
        needs_label=needs_label,
        first_tide=Stroke(" ".join(f"M{number_text(at)} 27V39" for at, _ in marks), "l-ink") if marks else None,
        labels=_labels(values, marks, plot_right),
        row_labels=(
            Label(LEFT_ROOM - 6, MINUTES_Y, "min", "x11 c2 end"),
            Label(LEFT_ROOM - 6, DAYS_Y, _month(values), "x11 c2 end"),
        ),
        rules=(Stroke(f"M{number_text(LEFT_ROOM)} {number_text(BASE)}H{number_text(plot_right)}", "l-rule2"),),
        summary=_summary(values),
    )


def _height(height: float, values: BoatWaterInput) -> str:
    return f"{height_text(height)} {values.height_unit}"


def _month(values: BoatWaterInput) -> str:
    return said(values.days[0].day, "M") if values.days else ""


def _height_scale(values: BoatWaterInput) -> Scale:
    heights = [shown.highest for shown in values.days if shown.highest is not None] + [values.needs]
    return Scale(min(heights) - 1.5, max(heights) + 0.1, BASE, PLOT_TOP)


def _levels(up: Scale) -> list[int]:
    low, high = up.value_from, up.value_to
    step = next(step for step in (1, 2, 5, 10, 20, 50, 100, 1000) if (high - low) / step < 6 or step == 1000)
    return [level for level in range(int(low // step) * step, int(high) + 1, step) if low < level < high]


def _left(place: int) -> float:
    return LEFT_ROOM + place * DAY_WIDTH


def _bands(values: BoatWaterInput) -> tuple[Rect, ...]:
    """Shade over the days without work and the days on which she is not ready, neighbours joined."""
    shaded = [bool(shown.rest_label or shown.not_ready) for shown in values.days]
    bands: list[Rect] = []
    for place, is_shaded in enumerate(shaded):
        if is_shaded and bands and bands[-1].right == tenth(_left(place)):
            bands[-1] = Rect(bands[-1].x, TOP, bands[-1].width + DAY_WIDTH, MINUTES_Y + 4 - TOP, "f-rest")
        elif is_shaded:
            bands.append(Rect(_left(place), TOP, DAY_WIDTH, MINUTES_Y + 4 - TOP, "f-rest"))
    return tuple(bands)


def floats(shown: BoatWaterDay, values: BoatWaterInput) -> bool:
    """Whether the day gives her the minutes that floating off takes."""
    return shown.minutes_above >= values.needs_min


def _bar(shown: BoatWaterDay, place: int, values: BoatWaterInput, up: Scale) -> Rect:
    highest = values.needs if shown.highest is None else shown.highest
    top = up.at(highest)
    title = _("{day}: {height}, {minutes} min above her need").format(
        day=weekday_day_month(shown.day), height=_height(highest, values), minutes=shown.minutes_above
    )
    css = "f-wat" if floats(shown, values) else "f-none"
    return Rect(tenth(_left(place) + 6), top, DAY_WIDTH - 12, tenth(BASE - top), css, title=title)


def _minutes(shown: BoatWaterDay, place: int, values: BoatWaterInput) -> Label:
    css = "x11 mid bd" if floats(shown, values) else "x11 mid c2"
    return Label(tenth(_left(place) + DAY_WIDTH / 2), MINUTES_Y, str(shown.minutes_above), css)


def _day(shown: BoatWaterDay, place: int, values: BoatWaterInput) -> Label:
    """The day's number, or the word for a rest day; a new month says its name instead of a 1."""
    middle = tenth(_left(place) + DAY_WIDTH / 2)
    words = shown.rest_label or str(shown.day.day)
    if shown.day.day == 1 and place > 0 and not shown.rest_label:
        words = said(shown.day, "j M")
    marked = shown.day in (values.first_tide, values.planned)
    css = "x11 mid bd" if marked else "x11 mid c2" if shown.rest_label else "x11 mid"
    return Label(middle, DAYS_Y, cut(words, 11.5, DAY_WIDTH), css, "" if words == str(shown.day.day) else words)


def _marks(values: BoatWaterInput) -> list[tuple[float, str]]:
    """Middle and words of the first tide's day and of the planned one, as far as they are shown."""
    words: dict[date, str] = {}
    if values.planned is not None:
        words[values.planned] = _("planned")
    if values.first_tide is not None:
        words[values.first_tide] = _("first tide")
    places = {shown.day: place for place, shown in enumerate(values.days)}
    return [(tenth(_left(places[day]) + DAY_WIDTH / 2), said) for day, said in words.items() if day in places]


def _labels(values: BoatWaterInput, marks: list[tuple[float, str]], width: float) -> tuple[Label, ...]:
    """The marked days' words over them, and why she is not ready over those days."""
    labels = [inside(Label(at, 24.0, words, "x11 mid bd"), LEFT_ROOM, width) for at, words in marks]
    unready = [place for place, shown in enumerate(values.days) if shown.not_ready]
    if unready:
        band = next(band for band in _bands(values) if band.x <= _left(unready[0]) < band.right)
        full = _("not ready: {why}").format(why=values.days[unready[0]].not_ready)
        words = cut(full, 11.5, band.right - _left(unready[0]) - 8)
        labels.append(Label(_left(unready[0]) + 6, 26.0, words, "x11 c2", "" if words == full else full))
    return keep_clear(labels)


def _summary(values: BoatWaterInput) -> str:
    if not values.days:
        return _("No days to show for {boat}.").format(boat=values.boat)
    good = sum(floats(shown, values) for shown in values.days)
    span = days_span(values.days[0].day, values.days[-1].day)
    words = [
        ngettext(
            "Water for {boat}, {span}: {n} day of {days} with {minutes} minutes above {height} in working hours.",
            "Water for {boat}, {span}: {n} days of {days} with {minutes} minutes above {height} in working hours.",
            good,
        ).format(
            boat=values.boat,
            span=span,
            n=good,
            days=len(values.days),
            minutes=values.needs_min,
            height=_height(values.needs, values),
        )
    ]
    if values.first_tide is not None:
        words.append(_("Her first tide is {day}.").format(day=weekday_day_month(values.first_tide)))
    if values.planned is not None:
        words.append(_("She is planned for {day}.").format(day=weekday_day_month(values.planned)))
    return " ".join(words)


def lay_out_needs(values: NeedsBarInput) -> NeedsBarPicture:
    """One bar from the datum to what she needs, a part for each cause; parts too thin for words carry a title."""
    named = (
        (_("ramp toe"), values.ramp_toe, "f-rest lin"),
        (_("trailer"), values.trailer, "g-yard lin"),
        (_("her draft"), values.draft, "g-launch lin"),
        (_("margin"), values.margin, "basted0"),
    )
    total = sum(height for _word, height, _css in named)
    across = Scale(0.0, sum(max(height, 0.0) for _word, height, _css in named) or 1.0, 0.5, values.width - 0.5)
    parts, from_height = [], 0.0
    for word, height, css in named:
        parts.append(_needs_part(word, height, css, across, from_height))
        from_height += max(height, 0.0)
    words = keep_clear(inside(part.word, 0, values.width) for part in sorted(parts, key=lambda part: -part.rect.width))
    shown = {label.text for label in words}
    kept = tuple(
        NeedsPart(p.rect, p.figure, inside(p.word, 0, values.width) if p.word.text in shown else Label(0, 0, ""))
        for p in parts
    )
    figures = ", ".join(f"{word} {height_text(height)}" for word, height, _css in named)
    total_text = f"{height_text(total)} {values.height_unit}"
    return NeedsBarPicture(
        values.width,
        42.0,
        kept,
        total_text,
        _("{figures}: {total} at the ramp.").format(figures=figures, total=total_text),
    )


def _needs_part(word: str, height: float, css: str, across: Scale, from_height: float) -> NeedsPart:
    left, right = across.at(from_height), across.at(from_height + max(height, 0.0))
    middle = tenth((left + right) / 2)
    figure = height_text(height)
    ink = "x12 bd mid onink2" if css.startswith("g-launch") else "x12 bd mid"
    fits = text_width(figure, 12.5, bold=True) <= right - left
    return NeedsPart(
        Rect(left, 0.5, tenth(right - left), 22.0, css, title=f"{word} {figure}"),
        Label(middle, 16.0, figure if fits else "", ink),
        Label(middle, 38.0, word, "x11 mid"),
    )
