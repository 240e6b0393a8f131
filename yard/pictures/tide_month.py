"""A month as people hang it on the wall: which days float a draft, at which hour, in which light."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from yard.day_names import month_said, said, weekday_said
from yard.pictures.lettering import clock, cut, height_text, text_width, weekday_day_month
from yard.pictures.shapes import Disc, Label, PictureValueError, Rect, Scale, Stroke, number_text, tenth
from yard.speech import _, ngettext


class Floats(StrEnum):
    """What a high water does for the draft asked about."""

    IN_LIGHT = "in-light"
    IN_DARK = "in-dark"
    TOO_LOW = "too-low"


@dataclass(frozen=True, slots=True)
class MonthTide:
    """A high water: its minute of the day, its height in the unit the page shows, what it does."""

    minute: int
    height: float
    floats: Floats


@dataclass(frozen=True, slots=True)
class MonthDay:
    """sunrise_min, sunset_min: daylight, None where the sun does not rise or set; note: springs, neaps, closed."""

    day: date
    tides: tuple[MonthTide, ...] = ()
    sunrise_min: int | None = None
    sunset_min: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class TideMonthInput:
    """days: those of one month that are known, in any order; needs: the height the boat needs at the ramp;
    first_weekday: 0 for Monday, 6 for Sunday; today: ringed if it falls in the month."""

    year: int
    month: int
    boat: str
    needs: float
    days: tuple[MonthDay, ...]
    first_weekday: int = 0
    today: date | None = None
    height_unit: str = "ft"

    def __post_init__(self) -> None:
        if not 0 <= self.first_weekday <= 6:
            raise PictureValueError(f"first_weekday is {self.first_weekday}; 0 is Monday, 6 is Sunday")
        for shown in self.days:
            if (shown.day.year, shown.day.month) != (self.year, self.month):
                raise PictureValueError(f"days: {shown.day} is not in {self.year}-{self.month:02d}")


@dataclass(frozen=True, slots=True)
class MonthCell:
    """A day: its cell (filled with water if she floats in light), daylight line, tides, best time."""

    day: date
    cell: Rect
    number: Label
    daylight: Stroke | None
    bars: tuple[Rect, ...]
    discs: tuple[Disc, ...]
    too_low: tuple[Stroke, ...]
    time: Label | None
    note: Label | None
    title: str


@dataclass(frozen=True, slots=True)
class TideMonthPicture:
    """good_days of known_days float her in light."""

    width: float
    height: float
    month_name: str
    weekdays: tuple[Label, ...]
    cells: tuple[MonthCell, ...]
    good_days: int
    known_days: int
    summary: str


CELL_WIDTH, CELL_HEIGHT, HEAD = 58.0, 50.0, 18.0
INNER_LEFT, INNER_RIGHT = 6.0, 52.0  # where the hours of a day begin and end inside its cell
FIRST_HOUR_MIN, LAST_HOUR_MIN = 4 * 60, 21 * 60  # the axis inside a cell; tides outside stand at its ends
BASE, TALLEST, SMALLEST = 35.0, 17.0, 4.0
BAR_WIDTH = 7.0


def lay_out(values: TideMonthInput) -> TideMonthPicture:
    """A cell a day, weeks one under another. Bars share one scale: taller is more water above her need."""
    known = {shown.day: shown for shown in values.days}
    first = date(values.year, values.month, 1)
    lead = (first.weekday() - values.first_weekday) % 7
    days = [first + timedelta(days=offset) for offset in range(_length(first))]
    most = max((tide.height - values.needs for shown in values.days for tide in shown.tides), default=0.0)
    cells = tuple(_cell(day, known.get(day), lead + place, values, most) for place, day in enumerate(days))
    good = sum(_floats_in_light(shown) for shown in values.days)
    rows = (lead + len(days) + 6) // 7
    day_total = len(values.days)
    name = month_said(values.month)
    return TideMonthPicture(
        width=7 * CELL_WIDTH,
        height=HEAD + rows * CELL_HEIGHT,
        month_name=name,
        weekdays=_weekday_labels(values.first_weekday),
        cells=cells,
        good_days=good,
        known_days=day_total,
        summary=ngettext(
            "{month}: {boat} floats in light on {good} of {n} day.",
            "{month}: {boat} floats in light on {good} of {n} days.",
            day_total,
        ).format(month=said(date(values.year, values.month, 1), "F Y"), boat=values.boat, good=good, n=day_total),
    )


def _length(first: date) -> int:
    later = first.replace(day=28) + timedelta(days=4)
    return (later - timedelta(days=later.day)).day


def _weekday_labels(first_weekday: int) -> tuple[Label, ...]:
    names = [weekday_said((first_weekday + place) % 7) for place in range(7)]
    return tuple(Label(tenth((place + 0.5) * CELL_WIDTH), 12.0, name, "x11 mid c2") for place, name in enumerate(names))


def _floats_in_light(shown: MonthDay) -> bool:
    return any(tide.floats is Floats.IN_LIGHT for tide in shown.tides)


def _cell(day: date, shown: MonthDay | None, place: int, values: TideMonthInput, most: float) -> MonthCell:
    row, column = divmod(place, 7)
    left, top = column * CELL_WIDTH, HEAD + row * CELL_HEIGHT
    good = shown is not None and _floats_in_light(shown)
    tides = () if shown is None else shown.tides
    css = "cell f-water" if good else "cell"
    bold = "x11 bd" if good or day == values.today else "x11 c2"
    return MonthCell(
        day=day,
        cell=Rect(
            left + 0.5, top + 0.5, CELL_WIDTH - 1, CELL_HEIGHT - 1, f"{css} cell-today" if day == values.today else css
        ),
        number=Label(left + 5, top + 13, str(day.day), bold),
        daylight=None if shown is None else _daylight(shown, left, top),
        bars=tuple(_bar(tide, left, top, values.needs, most) for tide in tides if tide.floats is Floats.IN_LIGHT),
        discs=tuple(
            Disc(_across(left).clamped(tide.minute), top + BASE - 4, 2.5, "f-ink2")
            for tide in tides
            if tide.floats is Floats.IN_DARK
        ),
        too_low=tuple(_dashes(tide, left, top) for tide in tides if tide.floats is Floats.TOO_LOW),
        time=_best_time(tides, left, top),
        note=None if shown is None or not shown.note else _note(shown.note, left, top, day),
        title=_title(day, shown, values.height_unit),
    )


def _across(left: float) -> Scale:
    return Scale(FIRST_HOUR_MIN, LAST_HOUR_MIN, left + INNER_LEFT, left + INNER_RIGHT)


def _daylight(shown: MonthDay, left: float, top: float) -> Stroke | None:
    if shown.sunrise_min is None or shown.sunset_min is None:
        return None
    across = _across(left)
    ends = (number_text(across.clamped(shown.sunrise_min)), number_text(across.clamped(shown.sunset_min)))
    return Stroke(f"M{ends[0]} {number_text(top + BASE + 0.5)}H{ends[1]}", "l-rule2")


def _bar(tide: MonthTide, left: float, top: float, needs: float, most: float) -> Rect:
    share = max(tide.height - needs, 0.0) / most if most > 0 else 0.0
    height = tenth(SMALLEST + share * (TALLEST - SMALLEST))
    x = _across(left).clamped(tide.minute) - BAR_WIDTH / 2
    return Rect(tenth(x), tenth(top + BASE - height), BAR_WIDTH, height, "tg")


def _dashes(tide: MonthTide, left: float, top: float) -> Stroke:
    x = _across(left).clamped(tide.minute)
    return Stroke(f"M{number_text(x - 4)} {number_text(top + BASE - 4)}H{number_text(x + 4)}", "tno")


def _best_time(tides: tuple[MonthTide, ...], left: float, top: float) -> Label | None:
    """The hour of the highest tide that floats her in light, under the line."""
    good = [tide for tide in tides if tide.floats is Floats.IN_LIGHT]
    if not good:
        return None
    best = max(good, key=lambda tide: (tide.height, -tide.minute))
    return Label(left + CELL_WIDTH / 2, top + 46, clock(best.minute), "x10 mid")


def _note(note: str, left: float, top: float, day: date) -> Label:
    """Springs or neaps, to the right of the day's number."""
    room = CELL_WIDTH - 10 - text_width(str(day.day), 11.5, bold=True)
    words = cut(note, 9.5, room)
    return Label(left + CELL_WIDTH - 4, top + 12.5, words, "x9 c2 end", "" if words == note else note)


def _title(day: date, shown: MonthDay | None, unit: str) -> str:
    if shown is None:
        return _("{day}: not known").format(day=weekday_day_month(day))
    words = {
        Floats.IN_LIGHT: _("floats her in light"),
        Floats.IN_DARK: _("floats her in the dark"),
        Floats.TOO_LOW: _("too low"),
    }
    tides = [f"{clock(tide.minute)} {height_text(tide.height)} {unit}, {words[tide.floats]}" for tide in shown.tides]
    return f"{weekday_day_month(day)}: {'; '.join(tides) or _('no high water')}"
