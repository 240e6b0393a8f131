"""Places as the planner sees them, and which of them a boat fits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from yard.models import Boat, Closure, Mooring, OwnersRun, Place
from yard.planning import problem as planner
from yard.services.read_problem.axis import Axis, stretch
from yard.services.read_problem.drying import capacity_of
from yard.services.read_problem.intervals import Interval, common, minus, union
from yard.services.read_problem.workboats import charges_of, run_hours


@dataclass
class PlaceBook:
    """Places in the planner's order, found by kind. Moorings that two boats claim are added as places of one unit.

    rows: the yard's place of each planner's place; None for a mooring.
    """

    axis: Axis
    places: list[planner.Place] = field(default_factory=list)
    rows: list[Place | None] = field(default_factory=list)
    moorings: dict[int, int] = field(default_factory=dict)

    def fitting(self, kind: str, boat: Boat | None) -> tuple[int, ...]:
        """The places of a kind that take this boat; limits that are not entered on either side take all."""
        return tuple(
            index
            for index, row in enumerate(self.rows)
            if row is not None and row.kind == kind and (boat is None or fits(row, boat))
        )

    def lines(self) -> tuple[int, ...]:
        """The drying lines whose length is known."""
        return tuple(index for index, row in enumerate(self.rows) if row is not None and row.line_m)

    def index_of(self, place: Place) -> int:
        return next(index for index, row in enumerate(self.rows) if row is not None and row.pk == place.pk)

    def mooring(self, mooring: Mooring) -> int:
        if mooring.pk not in self.moorings:
            self.moorings[mooring.pk] = len(self.places)
            self.places.append(planner.Place(key=f"mooring-{mooring.pk}", name=str(mooring), capacity=1))
            self.rows.append(None)
        return self.moorings[mooring.pk]


def fits(place: Place, boat: Boat) -> bool:
    """Whether length, beam, displacement and draft are within the place's limits."""
    pairs = (
        (place.max_length_m, boat.length_m),
        (place.max_beam_m, boat.beam_m),
        (place.max_displacement_kg, boat.displacement_kg),
        (place.max_draft_m, boat.draft_m),
    )
    return all(limit is None or value is None or value <= limit for limit, value in pairs)


def read_places(
    axis: Axis,
    rows: Sequence[Place],
    closures: Iterable[Closure],
    runs: Iterable[OwnersRun] = (),
    over: Mapping[int, list[Interval]] | None = None,
) -> PlaceBook:
    """closures: the accepted ones of single places. runs: owners' runs, which nothing else is done beside.

    over: when places were out for work that is over, by id: it is gone from the charge.
    """
    shut: dict[int, list[Interval]] = {}
    for closure in closures:
        if closure.place_id is not None:
            shut.setdefault(closure.place_id, []).append((axis.minute(closure.starts_at), axis.minute(closure.ends_at)))
    out = run_hours(axis, runs)
    book = PlaceBook(axis)
    for row in rows:
        mine = out.get(row.pk, [])
        closed = union([*shut.get(row.pk, ()), *_out_of_hours(axis, row), *mine])
        charges = charges_of(axis, row, [*mine, *(over or {}).get(row.pk, ())])
        book.places.append(
            planner.Place(
                key=f"place-{row.pk}", name=row.name, capacity=capacity_of(row), closed=closed, charges=charges
            )
        )
        book.rows.append(row)
    return book


def _out_of_hours(axis: Axis, row: Place) -> tuple[Interval, ...]:
    """What lies outside the place's own hours on the days of the axis; nothing where it has none."""
    hours = list(row.hours.all())
    if not hours:
        return ()
    length = axis.calendar.quarters_per_day * planner.QUARTER_MIN
    days = [(start, start + length) for start in axis.calendar.day_starts]
    open_times = union(
        (axis.local(day, span.starts_min), axis.local(day, span.ends_min))
        for day in axis.dates
        for each in hours
        if each.weekday == day.weekday()
        for span in (stretch(each.starts, each.ends),)
    )
    return common(days, minus(days, open_times))
