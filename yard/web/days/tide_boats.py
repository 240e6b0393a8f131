"""Who could go on a free tide: boats not launched that it floats, and what would have to move for each.

Nothing is planned again here: what is said is what the plan on the wall and the links between her jobs tell.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import GaugeReading, Job, JobLink
from yard.pictures.lettering import clock, height_text, weekday_day_month
from yard.queries.ramp_candidates import OPEN, WaitingToLaunch
from yard.services.read_problem import WaterLevel
from yard.web.days.launch_list import nights_taken
from yard.web.days.ramp_tides import Tide, Yardful, read_tides
from yard.web.days.ramp_work import boat_address, boat_name, level_of
from yard.web.days.water import ROUNDING_M, best_base_m
from yard.web.units import height, height_unit, local

USUAL_LOAD = timedelta(minutes=30)
"""Loading, where the launch has no parts of its own (common practice)."""


@dataclass(frozen=True)
class Candidate:
    """A boat that the tide floats. now: when the plan launches her. moves: what would have to move, in words.

    needs: height with its unit; crew: the early or late crew that she would need, "" in shop hours.
    """

    name: str
    url: str
    needs: str
    promised: date | None
    now: str
    crew: str
    moves: tuple[str, ...]
    ready: bool


@dataclass(frozen=True)
class TideBoats:
    """ready: those that nothing but their own launch holds; later: the rest. unknown: names without a known need.

    too_deep: how many need more water. notes: what the tide itself brings, as a berth taken or a closed day.
    """

    tide_words: str
    ready: tuple[Candidate, ...]
    later: tuple[Candidate, ...]
    unknown: tuple[str, ...]
    too_deep: int
    notes: tuple[str, ...]


def find_tide(yardful: Yardful, day: date, high_min: int) -> Tide | None:
    """The tide of that day whose high water stands at that minute; None where there is none."""
    return next((tide for tide in read_tides(yardful, day) if (tide.day, tide.high_min) == (day, high_min)), None)


def tide_boats(
    yardful: Yardful, tide: Tide, waiting: WaitingToLaunch, floated: Mapping[int, GaugeReading]
) -> TideBoats:
    levels = {job.pk: level_of(job, yardful.yard, floated) for job in waiting.jobs}
    manned, lit = best_base_m(tide.spare, tide.manned), best_base_m(tide.spare, tide.lit)
    found: list[Candidate] = []
    too_deep, unknown = 0, []
    for job in waiting.jobs:
        level = levels[job.pk]
        if not isinstance(level, WaterLevel):
            unknown.append(f"{boat_name(job.order)}: {level}")
            continue
        base = level.rising_m - yardful.yard.margin_rising_m - ROUNDING_M
        if lit is None or base > max(lit, manned if manned is not None else lit):
            too_deep += 1
            continue
        in_hours = manned is not None and base <= manned
        found.append(
            _candidate(yardful, tide, job, level, waiting, "" if in_hours else _("needs an early or a late crew"))
        )
    unit = height_unit(yardful.yard)
    return TideBoats(
        tide_words=_("{day}, high water {time}, {height} {unit}").format(
            day=weekday_day_month(tide.day),
            time=clock(tide.high_min),
            height=height_text(height(tide.event.height_m, yardful.yard)),
            unit=unit,
        ),
        ready=tuple(each for each in found if each.ready),
        later=tuple(each for each in found if not each.ready),
        unknown=tuple(unknown),
        too_deep=too_deep,
        notes=tuple(_notes(yardful, tide)),
    )


def _candidate(
    yardful: Yardful, tide: Tide, job: Job, level: WaterLevel, waiting: WaitingToLaunch, crew: str
) -> Candidate:
    late = [words for link in job.links_before.all() if (words := _not_ready(link, tide, waiting))]
    row = waiting.planned.get(job.pk)
    moves = [*late, *(words for link in job.links_after.all() if (words := _follows(link, tide, waiting)))]
    return Candidate(
        name=boat_name(job.order),
        url=boat_address(job.order.boat),
        needs=f"{height_text(height(level.rising_m, yardful.yard))} {height_unit(yardful.yard)}",
        promised=job.order.promised_date,
        now=_when(row.floats_at or row.starts_at) if row else "",
        crew=crew,
        moves=tuple(moves),
        ready=not late,
    )


def _not_ready(link: JobLink, tide: Tide, waiting: WaitingToLaunch) -> str:
    """Why the job before keeps her from this tide; "" if it does not."""
    before = link.before
    loads_at = tide.event.at - USUAL_LOAD
    if before.state not in OPEN:
        done_at = before.actual_ends_at
        if done_at is None or done_at + timedelta(minutes=link.min_wait_min) <= loads_at:
            return ""
        ends = _when(done_at + timedelta(minutes=link.min_wait_min))
        return _("{job} is done, but its wait ends {time}").format(job=before.name, time=ends)
    row = waiting.planned.get(before.pk)
    if row is None:
        return _("{job} is not planned yet").format(job=before.name)
    ready_at = row.ends_at + timedelta(minutes=link.min_wait_min)
    if ready_at <= loads_at:
        return ""
    words = _("{job} would have to end sooner: it is planned until {time}")
    if link.min_wait_min:
        words = _("{job} would have to end sooner: it is planned until {time}, with its wait {ready}")
    return words.format(job=before.name, time=_when(row.ends_at), ready=_when(ready_at))


def _follows(link: JobLink, tide: Tide, waiting: WaitingToLaunch) -> str:
    """What comes too late after this tide, where the wait between has a limit; "" if nothing does."""
    row = waiting.planned.get(link.after_id)
    if row is None or link.max_wait_min is None or link.after.state not in OPEN:
        return ""
    if row.starts_at <= tide.event.at + timedelta(minutes=link.max_wait_min):
        return ""
    words = _("{job} would have to come sooner: it is planned for {time}")
    return words.format(job=link.after.name, time=_when(row.starts_at))


def _notes(yardful: Yardful, tide: Tide) -> list[str]:
    """Berths of that night; work on the ramp close by, which has the trailer."""
    notes = [tide.shut] if tide.shut else []
    berths = yardful.berths
    if berths.capacity:
        taken = nights_taken(berths, tide.day)
        words = _("{taken} of {berths} berths are taken that night.")
        if taken >= berths.capacity:
            words = _("{taken} of {berths} berths are taken that night: one would have to leave first.")
        notes.append(words.format(taken=taken, berths=berths.capacity))
    near = [w for w in yardful.work if abs((w.wet[0] - tide.event.at).total_seconds()) < 4 * 3600 and w.done_at is None]
    if near:
        words = _("The trailer and the ramp are wanted by {boats} about then.")
        notes.append(words.format(boats=", ".join(w.name for w in near)))
    return notes


def _when(at: datetime) -> str:
    return said(local(at), "D j M H:i")
