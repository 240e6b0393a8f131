"""Load by skill and week: hours planned of hours there are, as bars."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from yard.pictures.board_input import SkillLoad, WeekHours
from yard.pictures.lettering import text_width
from yard.pictures.shapes import GROUP_CSS, GROUP_PATTERN, DayAxis, Label, PictureValueError, Rect, TradeGroup, tenth
from yard.speech import _

FULL_FROM = 0.95  # from here on a week has no room for a lost day (common practice; screens say "full")
BAR_WIDTH, BAR_TOP, BAR_HEIGHT = 44.0, 4.0, 12.0
ROW_HEIGHT = 20.0
WEEK_WIDTH = 126.0


@dataclass(frozen=True, slots=True)
class WeekLabel:
    monday: date
    x: float
    label: Label


@dataclass(frozen=True, slots=True)
class LoadBar:
    """ground: all the hours there are; planned: those taken, never wider than the ground; over: more than there are."""

    monday: date
    ground: Rect
    planned: Rect
    figures: Label
    is_full: bool
    is_over: bool


@dataclass(frozen=True, slots=True)
class LoadRow:
    label: str
    group: TradeGroup
    css: str
    pattern: str
    width: float
    height: float
    bars: tuple[LoadBar, ...]
    summary: str


@dataclass(frozen=True, slots=True)
class LoadInput:
    """Weeks side by side from the Monday given."""

    first_monday: date
    week_count: int
    skills: tuple[SkillLoad, ...]

    def __post_init__(self) -> None:
        if self.first_monday.weekday() != 0:
            raise PictureValueError(f"first_monday is {self.first_monday}, which is not a Monday")


@dataclass(frozen=True, slots=True)
class LoadPicture:
    width: float
    weeks: tuple[WeekLabel, ...]
    rows: tuple[LoadRow, ...]
    summary: str


def lay_out(values: LoadInput) -> LoadPicture:
    """A row a skill, a bar a week."""
    axis = DayAxis(values.first_monday, values.week_count * 7, WEEK_WIDTH / 7)
    rows = tuple(lay_out_load_row(skill, axis) for skill in values.skills)
    return LoadPicture(
        axis.width, week_labels(axis), rows, " ".join(row.summary for row in rows) or _("No load to show.")
    )


def week_labels(axis: DayAxis) -> tuple[WeekLabel, ...]:
    """ISO week numbers at each Monday on the axis."""
    days = (axis.first_day + timedelta(days=offset) for offset in range(axis.day_count))
    return tuple(
        WeekLabel(day, axis.left(day), Label(tenth(axis.left(day) + 4), 16.0, _week(day), "x11 c2"))
        for day in days
        if day.weekday() == 0
        and axis.width - axis.left(day) >= text_width(_("week {number}").format(number=53), 11.5) + 4
    )


def lay_out_load_row(skill: SkillLoad, axis: DayAxis) -> LoadRow:
    """The bars of the weeks that begin on the axis and have room for bar and figures."""
    bars = tuple(_bar(week, axis) for week in skill.weeks if axis.holds(week.monday) and _fits(week, axis))
    return LoadRow(
        label=skill.label,
        group=skill.group,
        css=GROUP_CSS[skill.group],
        pattern=GROUP_PATTERN.get(skill.group, ""),
        width=axis.width,
        height=ROW_HEIGHT,
        bars=bars,
        summary=_summary(skill),
    )


def share_of(week: WeekHours) -> float:
    """Planned of available; hours planned in a week that has none count as more than full."""
    if week.available_h > 0:
        return week.planned_h / week.available_h
    return 2.0 if week.planned_h > 0 else 0.0


def is_full(week: WeekHours) -> bool:
    return share_of(week) >= FULL_FROM


def _figures(week: WeekHours) -> str:
    text = f"{week.planned_h:.0f}/{week.available_h:.0f}"
    if share_of(week) > 1:
        return _("{hours} over").format(hours=text)
    return _("{hours} full").format(hours=text) if is_full(week) else text


def _fits(week: WeekHours, axis: DayAxis) -> bool:
    return axis.left(week.monday) + BAR_WIDTH + 8 + text_width(_figures(week), 11.5, bold=True) <= axis.width


def _bar(week: WeekHours, axis: DayAxis) -> LoadBar:
    left = axis.left(week.monday) + 3
    taken = min(share_of(week), 1.0) * (BAR_WIDTH - 1)
    full = is_full(week)
    return LoadBar(
        monday=week.monday,
        ground=Rect(tenth(left), BAR_TOP, BAR_WIDTH, BAR_HEIGHT, "f-rest"),
        planned=Rect(tenth(left + 0.5), BAR_TOP + 0.5, tenth(taken), BAR_HEIGHT - 1),
        figures=Label(tenth(left + BAR_WIDTH + 5), 14.0, _figures(week), "x11 bd" if full else "x11"),
        is_full=full,
        is_over=share_of(week) > 1,
    )


def _summary(skill: SkillLoad) -> str:
    full = [_week(week.monday) for week in skill.weeks if is_full(week)]
    return _full_weeks(skill.label, full)


def _full_weeks(label: str, full: list[str]) -> str:
    if not full:
        return _("{skill}: no week is full.").format(skill=label)
    return _("{skill}: full in {weeks}.").format(skill=label, weeks=", ".join(full))


def _week(day: date) -> str:
    """By its number of ISO 8601."""
    return _("week {number}").format(number=day.isocalendar().week)
