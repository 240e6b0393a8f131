"""What a day sheet is drawn from. Minutes count from the day's midnight on the yard's clock;
heights are in the unit the page shows, gusts in knots."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.pictures.shapes import CurvePoint, JobState, PictureValueError, Span, TradeGroup
from yard.pictures.tide_curve_input import Extreme, Level


@dataclass(frozen=True, slots=True)
class LaunchParts:
    """The three parts of a launch a person takes part in; a line handler has float_off alone."""

    float_off: Span
    load: Span | None = None
    trailer_back: Span | None = None


@dataclass(frozen=True, slots=True)
class DayJob:
    """A bar in a person's or place's row. `boat` is "" for a job of the yard itself."""

    number: int
    boat: str
    job: str
    group: TradeGroup
    span: Span
    place: str = ""
    state: JobState = JobState.PLANNED
    launch: LaunchParts | None = None
    url: str = ""


@dataclass(frozen=True, slots=True)
class PersonDay:
    """hours: the person's own hours that day, None if away; meal: None if none is taken."""

    name: str
    skills: str
    hours: Span | None
    meal: Span | None = None
    jobs: tuple[DayJob, ...] = ()


@dataclass(frozen=True, slots=True)
class PlaceDay:
    name: str
    jobs: tuple[DayJob, ...] = ()


@dataclass(frozen=True, slots=True)
class WaterFor:
    """When there is water to float one boat off."""

    number: int
    boat: str
    needs: float
    span: Span


@dataclass(frozen=True, slots=True)
class Gust:
    minute: int
    kn: float


@dataclass(frozen=True, slots=True)
class GustLimit:
    """The limit gusts are boxed over, and whose it is ("the gin pole's")."""

    kn: float
    whose: str


@dataclass(frozen=True, slots=True)
class DaySheetInput:
    """axis: the span of the sheet, at least an hour; ramp: the level that makes the ramp usable;
    curve empty: no tide station; gusts empty: no forecast; now_min None: not today."""

    day: date
    axis: Span
    sunrise_min: int | None = None
    sunset_min: int | None = None
    curve: tuple[CurvePoint, ...] = ()
    extremes: tuple[Extreme, ...] = ()
    ramp: Level | None = None
    gusts: tuple[Gust, ...] = ()
    gust_limit: GustLimit | None = None
    water_for: tuple[WaterFor, ...] = ()
    people: tuple[PersonDay, ...] = ()
    places: tuple[PlaceDay, ...] = ()
    now_min: int | None = None
    height_unit: str = "ft"

    def __post_init__(self) -> None:
        if self.axis.length_min < 60:
            raise PictureValueError("axis: the sheet needs at least an hour from its first to its last minute")
