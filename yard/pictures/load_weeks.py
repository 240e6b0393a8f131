"""What is used of what there is, a column a week: one row of a skill, a place, the berths or the tides.

A column's outline is as high as what there is in that week, and filled as far as it is used. A week with less than a
twentieth left is marked by a wedge above it as well as by its colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.day_names import said
from yard.pictures.lettering import day_month
from yard.pictures.load import FULL_FROM
from yard.pictures.shapes import Label, PictureValueError, Rect, tenth
from yard.speech import _, ngettext
from yard.speech import number as said_number

COLUMN, GAP = 20.0, 6.0
TOP, HEIGHT = 10.0, 34.0
HEAD_HEIGHT = 18.0


@dataclass(frozen=True, slots=True)
class WeekUse:
    """In the row's own unit (hours, nights, tides)."""

    monday: date
    used: float
    usable: float

    def __post_init__(self) -> None:
        if self.used < 0 or self.usable < 0:
            raise PictureValueError(f"week of {self.monday}: {self.used} of {self.usable} is below nothing")

    @property
    def share(self) -> float:
        """Used of usable, 0 to 1 and above; what is used where nothing is usable counts as more than all."""
        return self.used / self.usable if self.usable else (2.0 if self.used else 0.0)

    @property
    def is_full(self) -> bool:
        return self.share >= FULL_FROM


@dataclass(frozen=True, slots=True)
class UseRow:
    label: str
    unit: str
    weeks: tuple[WeekUse, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """mark: the wedge's path, "" for a week that is not full. A title says the figures."""

    ground: Rect
    used: Rect
    mark: str
    title: str


@dataclass(frozen=True, slots=True)
class UsePicture:
    label: str
    width: float
    height: float
    columns: tuple[Column, ...]
    summary: str


@dataclass(frozen=True, slots=True)
class WeekHead:
    """Months above the columns, at the first week of each."""

    width: float
    height: float
    labels: tuple[Label, ...]


def lay_out_head(mondays: tuple[date, ...]) -> WeekHead:
    labels, month = [], 0
    for number, monday in enumerate(mondays):
        if monday.month != month:
            month = monday.month
            labels.append(Label(tenth(_left(number)), 13.0, said(monday, "M"), "x11 c2"))
    return WeekHead(_width(len(mondays)), HEAD_HEIGHT, tuple(labels))


def lay_out_row(row: UseRow) -> UsePicture:
    """The highest column of the row is as high as the picture allows."""
    most = max((max(week.used, week.usable) for week in row.weeks), default=0.0) or 1.0
    columns = tuple(_column(number, week, most, row.unit) for number, week in enumerate(row.weeks))
    return UsePicture(row.label, _width(len(row.weeks)), TOP + HEIGHT + 1, columns, summary_of(row))


def summary_of(row: UseRow) -> str:
    full = [day_month(week.monday) for week in row.weeks if week.is_full]
    if not full:
        return _("{skill}: no week is full.").format(skill=row.label)
    return ngettext(
        "{skill}: full in the week of {weeks}.", "{skill}: full in the weeks of {weeks}.", len(full)
    ).format(skill=row.label, weeks=", ".join(full))


def _left(number: int) -> float:
    return number * (COLUMN + GAP) + 1


def _width(count: int) -> float:
    return tenth(count * (COLUMN + GAP) + 2)


def _column(number: int, week: WeekUse, most: float, unit: str) -> Column:
    left, bottom = _left(number), TOP + HEIGHT
    there, used = HEIGHT * week.usable / most, HEIGHT * week.used / most
    middle = left + COLUMN / 2
    mark = f"M{tenth(middle - 4)} 1h8l-4 6z" if week.is_full else ""
    title = _("Week of {day}: {used} of {usable} {unit}").format(
        day=day_month(week.monday), used=said_number(week.used, 0), usable=said_number(week.usable, 0), unit=unit
    )
    return Column(
        ground=Rect(tenth(left), tenth(bottom - there), COLUMN, tenth(there), "l-rule2"),
        used=Rect(
            tenth(left + 2), tenth(bottom - used), COLUMN - 4, tenth(used), "f-late" if week.is_full else "f-ink2"
        ),
        mark=mark,
        title=title,
    )
