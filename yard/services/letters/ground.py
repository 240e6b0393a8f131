"""What many letters read once: the yard's hours, its tides, moorings and closures; reserve days and her water."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from yard.models import Closure, Mooring, PlannedJob, ShopHours, WaterNeed, YardHoliday, YardSettings
from yard.notices.news import Water
from yard.queries.launches import last_floated
from yard.services.feeds.water import mooring_of
from yard.services.read_problem import WaterLevel, WaterUnknown, level_for, tide_at
from yard.services.weather_limits import WORK_OF, limits_of
from yard.speech import short_number
from yard.tides.source import TideError, TideSource
from yard.weather.limits import Limits, WorkKind

RESERVE_WITHIN_DAYS = 21
"""No reserve day is named that lies farther off: by then the plan is made anew."""
LEAST_WATER = timedelta(minutes=30)
"""As the kind `launch` asks for (common practice)."""
AROUND = timedelta(hours=7)
"""To either side of a job: more than half a tide, so that a window is seen whole."""


@dataclass
class Ground:
    """Read lazily and once; at most six queries, whatever the number of letters."""

    yard: YardSettings
    now: datetime
    _tides: dict[str, TideSource | None] = field(default_factory=dict)

    @cached_property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.yard.time_zone)

    @cached_property
    def _shop(self) -> dict[int, tuple[time, time]]:
        found: dict[int, tuple[time, time]] = {}
        for row in ShopHours.objects.order_by("weekday", "starts"):
            first = found.get(row.weekday, (row.starts, row.ends))[0]
            found[row.weekday] = (first, row.ends)
        return found

    @cached_property
    def _holidays(self) -> frozenset[date]:
        return frozenset(YardHoliday.objects.values_list("day", flat=True))

    @cached_property
    def closures(self) -> list[Closure]:
        """Those still to end that nobody withdrew."""
        rows = Closure.objects.exclude(state=Closure.State.WITHDRAWN).filter(ends_at__gt=self.now)
        return list(rows.order_by("starts_at", "id"))

    @cached_property
    def _berth_of(self) -> dict[int, Mooring]:
        rows = Mooring.objects.filter(permit_boat__isnull=False, archived=False).order_by("temporary", "ref", "id")
        return {row.permit_boat_id or 0: row for row in reversed(list(rows))}

    @cached_property
    def _limits(self) -> dict[WorkKind, Limits]:
        return dict(limits_of(self.yard))

    @cached_property
    def today(self) -> date:
        return self.local(self.now).date()

    def local(self, at: datetime) -> datetime:
        return at.astimezone(self.zone)

    def closure_over(self, row: PlannedJob) -> Closure | None:
        """The closure that shuts a planned job's hours, if any."""
        return next((each for each in self.closures if _shuts(each, row, row.starts_at, row.ends_at)), None)

    def water(self, row: PlannedJob) -> Water | None:
        """Her water at a planned launch; None for a job that puts nothing afloat."""
        if row.job.water_need == WaterNeed.NONE or row.floats_at is None:
            return None
        floats_at = self.local(row.floats_at)
        level = self._level(row)
        if level is None or (found := self._window(level, row.floats_at)) is None:
            return Water(floats_at=floats_at)
        starts_at, ends_at = (self.local(at) for at in found)
        return Water(floats_at=floats_at, starts_at=starts_at, ends_at=ends_at, needed_m=level.rising_m)

    def reserve(self, row: PlannedJob, day: date) -> date | None:
        """The next day on which the yard is open, nothing shuts that work, and there is water where it needs some."""
        level = self._level(row)
        if row.job.water_need != WaterNeed.NONE and level is None:
            return None
        for later in (day + timedelta(days=count) for count in range(1, RESERVE_WITHIN_DAYS + 1)):
            hours = self._open(later)
            if hours is None or any(_shuts(each, row, *hours) for each in self.closures):
                continue
            if level is None or self._has_water(level, *hours):
                return later
        return None

    def could_stop(self, rows: list[PlannedJob]) -> tuple[str, ...]:
        """In words: the limits of wind of these jobs' work, rain, and less water than predicted."""
        found: dict[str, None] = {}
        kinds = {WORK_OF[row.job.weather_class] for row in rows if row.job.weather_class in WORK_OF}
        winds = [limits.wind_kn for kind in kinds if (limits := self._limits[kind]).wind_kn is not None]
        gusts = [limits.gust_kn for kind in kinds if (limits := self._limits[kind]).gust_kn is not None]
        if gusts:
            found[_("gusts over {knots} knots").format(knots=short_number(min(gusts)))] = None
        elif winds:
            found[_("wind over {knots} knots").format(knots=short_number(min(winds)))] = None
        if any(self._limits[kind].dry for kind in kinds):
            found[_("rain")] = None
        if any(row.job.water_need != WaterNeed.NONE for row in rows):
            found[_("less water than the tide tables say")] = None
        return tuple(found)

    def _open(self, day: date) -> tuple[datetime, datetime] | None:
        hours = self._shop.get(day.weekday())
        if hours is None or day in self._holidays:
            return None
        starts, ends = (datetime.combine(day, at, self.zone).astimezone(UTC) for at in hours)
        return starts, ends

    def _level(self, row: PlannedJob) -> WaterLevel | None:
        if row.job.water_need == WaterNeed.NONE or not self.yard.tide_station:
            return None
        order = row.job.order
        if order.boat is None:
            return None
        floated = last_floated([order.boat.pk]).get(order.boat.pk) if row.job.water_need == WaterNeed.RAMP else None
        try:
            return level_for(
                row.job.water_need,
                order.boat,
                mooring_of(order, self._berth_of),
                self.yard,
                floated_at_m=floated.observed_m_above_datum if floated else None,
            )
        except WaterUnknown:
            return None

    def _tide(self, where: str) -> TideSource | None:
        if where not in self._tides:
            try:
                self._tides[where] = tide_at(self.yard, where)
            except (TideError, OSError):
                self._tides[where] = None
        return self._tides[where]

    def _window(self, level: WaterLevel, at: datetime) -> tuple[datetime, datetime] | None:
        """The stretch about that moment with water enough on a rising tide."""
        tide = self._tide(level.where)
        if tide is None:
            return None
        try:
            (windows,) = tide.windows(at - AROUND, at + AROUND, [level.rising_m])
        except TideError:
            return None
        return next(((each.starts_at, each.ends_at) for each in windows if each.starts_at <= at < each.ends_at), None)

    def _has_water(self, level: WaterLevel, starts_at: datetime, ends_at: datetime) -> bool:
        """Judged by the greater of the two levels, so that a reserve day is not named too soon."""
        tide = self._tide(level.where)
        if tide is None:
            return False
        try:
            (windows,) = tide.windows(starts_at, ends_at, [max(level.rising_m, level.falling_m)])
        except TideError:
            return False
        return any(each.duration >= LEAST_WATER for each in windows)


def _shuts(closure: Closure, row: PlannedJob, starts_at: datetime, ends_at: datetime) -> bool:
    """As yard.queries.plan_difference reads closures, for the hours [starts_at, ends_at)."""
    wet = row.job.water_need != WaterNeed.NONE
    covers = (closure.covers == Closure.Covers.OUTDOORS and (row.job.outdoor or wet)) or (
        closure.covers == Closure.Covers.WATER and wet
    )
    return covers and closure.starts_at < ends_at and starts_at < closure.ends_at
