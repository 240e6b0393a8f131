"""What already stands: jobs under way, jobs pinned by a person, and where boats lie tonight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from yard.models import Job, Pin, PlannedJob, Stay, Whereabouts
from yard.planning import problem as planner
from yard.queries.sails import DRY
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.jobs import JobBook
from yard.services.read_problem.places import PlaceBook

QUARTER_MIN = planner.QUARTER_MIN


@dataclass(frozen=True)
class Standing:
    """What pins are read from. planned: the posted plan's row of each job, by job id."""

    axis: Axis
    book: JobBook
    places: PlaceBook
    people: Mapping[int, int]
    planned: Mapping[int, PlannedJob]
    now: int


def read_pins(standing: Standing, pins: Mapping[int, Pin]) -> list[planner.Pin]:
    """Pins of started jobs and of those that a person pinned to a time. pins: those that hold, by job id."""
    found = []
    for index, row in enumerate(standing.book.rows):
        if row.state == Job.State.STARTED:
            found.append(_started(standing, index, row))
        elif (pin := pins.get(row.pk)) is not None and pin.starts_at is not None:
            found.append(_pinned(standing, index, row, pin))
    return [pin for pin in found if pin is not None]


def _started(standing: Standing, index: int, row: Job) -> planner.Pin | None:
    """A job under way: from its actual start to the end that was planned, at least one quarter from now."""
    axis, job = standing.axis, standing.book.jobs[index]
    plan = standing.planned.get(row.pk)
    begins = row.actual_starts_at or (plan.starts_at if plan else None)
    if begins is None:
        return None
    start = min(max(0, axis.timeline.last_at_or_before(axis.minute(begins))), axis.timeline.size - 1)
    way = _way_index(job, plan)
    end = start + job.ways[way].duration_quarters
    if plan is not None:
        end = axis.timeline.last_at_or_before(axis.minute(plan.ends_at) - 1) + 1
    if row.left_min is not None:
        end = standing.now + -(-row.left_min // QUARTER_MIN)
    if row.kind.key == DRY and end <= standing.now:
        end = standing.now + axis.calendar.quarters_per_day  # nobody has said "dry": it hangs a working day more
    end = min(max(end, standing.now + 1, start + 1), axis.timeline.size)
    return planner.Pin(
        job=index,
        way=way,
        starts_at=start,
        ends_at=end,
        people=_people(standing, plan),
        places=_places(standing, plan),
    )


def _pinned(standing: Standing, index: int, row: Job, pin: Pin) -> planner.Pin | None:
    """A job that a person pinned to a time, with the people and places of the pin or of the posted plan."""
    axis, job = standing.axis, standing.book.jobs[index]
    plan = standing.planned.get(row.pk)
    assert pin.starts_at is not None  # the caller asks only for pins with a time
    start = axis.timeline.first_at_or_after(axis.minute(pin.starts_at))
    if start >= axis.timeline.size:
        return None
    way = _way_index(job, plan)
    people = tuple(standing.people[person.pk] for person in pin.people.all() if person.pk in standing.people)
    end = min(start + job.ways[way].duration_quarters, axis.timeline.size)
    if pin.ends_at is not None:  # booked until they are back, through nights
        end = max(start + 1, axis.timeline.last_at_or_before(axis.minute(pin.ends_at) - 1) + 1)
    return planner.Pin(
        job=index,
        way=way,
        starts_at=start,
        ends_at=end,
        people=people or _people(standing, plan),
        places=_pin_places(standing, pin, job.ways[way]) or _places(standing, plan),
    )


def _pin_places(standing: Standing, pin: Pin, way: planner.Way) -> tuple[tuple[int, int], ...]:
    """As the way names its places, each with a place of the pin that can be it; then whatever else is pinned."""
    left = [standing.places.index_of(place) for place in pin.places.all()]
    ordered = []
    for need in way.places:
        found = next((at for at in left if at in need.any_of), None)
        if found is not None:
            ordered.append(found)
            left.remove(found)
    return tuple((at, 0) for at in (*ordered, *left))


def _way_index(job: planner.Job, plan: PlannedJob | None) -> int:
    """The planner's way with the sequence of the posted plan's; the first where there is none."""
    names = [way.name for way in job.ways]
    return names.index(str(plan.way)) if plan is not None and str(plan.way) in names else 0


def _people(standing: Standing, plan: PlannedJob | None) -> tuple[int, ...]:
    if plan is None:
        return ()
    return tuple(
        standing.people[each.person_id]
        for each in sorted(plan.planned_people.all(), key=lambda row: row.pk)
        if each.person_id in standing.people
    )


def _places(standing: Standing, plan: PlannedJob | None) -> tuple[tuple[int, int], ...]:
    if plan is None:
        return ()
    rows = sorted(plan.planned_places.all(), key=lambda row: row.pk)  # as the way names its places
    held = [(standing.places.index_of(each.place), each.unit - 1) for each in rows]
    return tuple(at for at in held if at[1] < standing.places.places[at[0]].capacity)  # a line may be shorter by now


@dataclass(frozen=True)
class Stays:
    """stays: the planner's; rows: the row behind each, None for a boat that simply lies somewhere."""

    stays: list[planner.Stay]
    rows: list[Stay | None]


def read_stays(
    standing: Standing,
    rows: Sequence[Stay],
    boats: Mapping[int, int],
    lying: Mapping[int, Whereabouts],
) -> Stays:
    """Berths by night. boats: planner's index by boat id. lying: where each boat is now, by boat id.

    A boat that is at a berth already, with nothing planned to take her away, keeps it to the end.
    """
    found = Stays([], [])
    index = standing.book.index_by_id()
    covered: set[int] = set()
    for row in rows:
        boat = row.order.boat
        if boat is None or (row.until_job_id not in index and row.until_job.state != Job.State.OPEN):
            continue
        begun = row.from_job.state == Job.State.DONE
        if not begun and row.from_job_id not in index:
            continue
        any_of = standing.places.fitting(row.place_kind, boat)
        here = lying.get(boat.pk)
        if begun and here is not None and here.place is not None and here.place.kind == row.place_kind:
            any_of = (standing.places.index_of(here.place),)
        if not any_of:
            continue
        covered.add(boat.pk)
        found.stays.append(
            planner.Stay(
                boat=boats[boat.pk],
                any_of=any_of,
                from_job=None if begun else index[row.from_job_id],
                until_job=index.get(row.until_job_id),
            )
        )
        found.rows.append(row)
    _add_lying(standing, found, boats, lying, covered)
    return found


def _add_lying(
    standing: Standing,
    found: Stays,
    boats: Mapping[int, int],
    lying: Mapping[int, Whereabouts],
    covered: set[int],
) -> None:
    for boat_id, here in lying.items():
        at_berth = here.place is not None and here.place.counted_by_night
        if at_berth and here.place is not None and boat_id in boats and boat_id not in covered:
            place = standing.places.index_of(here.place)
            found.stays.append(planner.Stay(boat=boats[boat_id], any_of=(place,)))
            found.rows.append(None)
