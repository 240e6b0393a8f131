"""What the season board is drawn from. Heights are in the unit the page shows; days are the yard's."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from yard.pictures.shapes import JobState, PictureValueError, TradeGroup


class Standing(StrEnum):
    """The group a row belongs to, in the order the board shows them."""

    LATE = "late"
    WAITING_ON = "waiting-on"
    NO_DAY_IN_HAND = "no-day-in-hand"
    ON_TIME = "on-time"
    NOT_PLANNED = "not-planned"
    PLACE = "place"
    PERSON = "person"


@dataclass(frozen=True, slots=True)
class BoardJob:
    """A job on a lane. `last_day` is the last day it is worked on (the same day for most)."""

    first_day: date
    last_day: date
    letter: str
    name: str
    group: TradeGroup
    state: JobState = JobState.PLANNED

    def __post_init__(self) -> None:
        if self.last_day < self.first_day:
            raise PictureValueError(f"job {self.name!r} ends on {self.last_day}, before it starts on {self.first_day}")
        if not 1 <= len(self.letter) <= 2:
            raise PictureValueError(f"job {self.name!r} needs a letter of one or two characters, not {self.letter!r}")


@dataclass(frozen=True, slots=True)
class BoardRow:
    """A boat (or a place, or a person) and her lane.

    needs: height she needs to float off; None while a part of it (her draft) is unknown.
    promised: the promised day; None if nothing was promised.
    on_mooring: the day the plan brings her to her mooring; None if she is not planned.
    in_hand: working days from plan to promise, negative when late; None without both days.
    water_days: days with enough water for her to float off in working hours.
    facts_needed_by: days by which a fact awaited is needed.
    reason: what sets her date or what she waits on, in words.
    url: her page; open_url: the fragment with reasons and ways back, "" where there is none.
    """

    key: str
    name: str
    standing: Standing
    jobs: tuple[BoardJob, ...] = ()
    needs: float | None = None
    promised: date | None = None
    on_mooring: date | None = None
    in_hand: int | None = None
    water_days: frozenset[date] = frozenset()
    facts_needed_by: tuple[date, ...] = ()
    reason: str = ""
    url: str = ""
    open_url: str = ""


@dataclass(frozen=True, slots=True)
class DayNote:
    """A word over a day: neaps, springs, gale?, or the reason why it is closed."""

    day: date
    text: str


@dataclass(frozen=True, slots=True)
class DayWater:
    """Water at the ramp on one day.

    highest: highest water in working hours; None on a day without working hours or without a tide table.
    outside: heights of high waters in light before or after working hours (rings).
    usable: whether any boat of the yard's could use the ramp; False draws the bar dashed.
    """

    day: date
    highest: float | None
    outside: tuple[float, ...] = ()
    usable: bool = True


@dataclass(frozen=True, slots=True)
class NeedsLine:
    """The height one boat needs, drawn across the water strip."""

    name: str
    height: float


@dataclass(frozen=True, slots=True)
class WeekHours:
    """Hours planned of hours there are in the week that begins on `monday`."""

    monday: date
    planned_h: float
    available_h: float

    def __post_init__(self) -> None:
        if self.planned_h < 0 or self.available_h < 0:
            raise PictureValueError(f"hours of the week of {self.monday} must not be negative")


@dataclass(frozen=True, slots=True)
class SkillLoad:
    """The weeks of one group of skills."""

    label: str
    group: TradeGroup
    weeks: tuple[WeekHours, ...]


@dataclass(frozen=True, slots=True)
class FoldedRows:
    """Rows of a standing that are not sent: how many, and the address that sends them too."""

    standing: Standing
    count: int
    url: str

    def __post_init__(self) -> None:
        if self.count < 1:
            raise PictureValueError(f"{self.count} rows folded away: there must be at least one")


@dataclass(frozen=True, slots=True)
class BoardInput:
    """The season board. Rows keep the order given inside each standing; `folded` stands below them."""

    first_day: date
    day_count: int
    today: date
    rows: tuple[BoardRow, ...] = ()
    closed: tuple[DayNote, ...] = ()
    proposed_closed: tuple[DayNote, ...] = ()
    rest_weekdays: frozenset[int] = frozenset({6})
    water: tuple[DayWater, ...] = ()
    tide_notes: tuple[DayNote, ...] = ()
    needs_line: NeedsLine | None = None
    load: tuple[SkillLoad, ...] = ()
    folded: tuple[FoldedRows, ...] = ()
    height_unit: str = "ft"

    def __post_init__(self) -> None:
        if self.day_count < 1:
            raise PictureValueError(f"day_count is {self.day_count}: the board needs at least one day")
        keys = [row.key for row in self.rows]
        if len(keys) != len(set(keys)):
            raise PictureValueError("two rows of the board have the same key; each needs its own")
