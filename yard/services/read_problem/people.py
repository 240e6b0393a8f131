"""People as the planner sees them: skills with levels, hours, time away, and how far a day slides for a tide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from yard.models import DatedHours, OwnersRun, Person
from yard.planning import problem as planner
from yard.services.read_problem.axis import MINUTES_PER_DAY, Axis, Stretch, stretch
from yard.services.read_problem.intervals import Interval, union
from yard.services.read_problem.operators import OperatorBook
from yard.services.read_problem.workboats import hands_of_runs


def reach_of(people: Iterable[Person]) -> list[Stretch]:
    """Every stretch of a day in which somebody may work by weekly hours, slides included."""
    found = []
    for person in people:
        early = person.early_slide_min if person.slides_per_week else 0
        late = person.late_slide_min if person.slides_per_week else 0
        for row in person.weekly_hours.all():
            span = stretch(row.starts, row.ends)
            found.append(Stretch(max(0, span.starts_min - early), min(MINUTES_PER_DAY, span.ends_min + late)))
    return found


def read_people(
    axis: Axis, people: Sequence[Person], operators: OperatorBook, runs: Iterable[OwnersRun] = ()
) -> tuple[planner.Person, ...]:
    """One planner's person for each row, in the order given; keys are `person-<id>`. runs: who is out with owners."""
    out = hands_of_runs(axis, runs)
    return tuple(_person(axis, row, operators, out.get(row.pk, [])) for row in people)


def _person(axis: Axis, row: Person, operators: OperatorBook, out: Sequence[Interval]) -> planner.Person:
    dated = list(row.dated_hours.all())
    here = [_dated(axis, each) for each in dated if each.kind == DatedHours.Kind.HERE]
    away = [_dated(axis, each) for each in dated if each.kind == DatedHours.Kind.AWAY]
    hours = union([*_weekly(axis, row), *here])
    return planner.Person(
        key=f"person-{row.pk}",
        name=row.short_name,
        skills={**operators.levels[row.pk], **operators.skills_of(row.pk)},
        hours=hours,
        away=union([*away, *out]),
        slide=_slide(row),
    )


def _weekly(axis: Axis, person: Person) -> list[Interval]:
    """The week's hours on the days between the person's first and last."""
    by_weekday: dict[int, list[Stretch]] = {}
    for row in person.weekly_hours.all():
        by_weekday.setdefault(row.weekday, []).append(stretch(row.starts, row.ends))
    return [
        (axis.local(day, span.starts_min), axis.local(day, span.ends_min))
        for day in axis.dates
        if person.of_the_yard_on(day)
        for span in by_weekday.get(day.weekday(), ())
    ]


def _dated(axis: Axis, row: DatedHours) -> Interval:
    return axis.minute(row.starts_at), axis.minute(row.ends_at)


def _slide(row: Person) -> planner.Slide | None:
    if not row.slides_per_week or not (row.early_slide_min or row.late_slide_min):
        return None
    return planner.Slide(
        early_min=row.early_slide_min,
        late_min=row.late_slide_min,
        days_per_week=row.slides_per_week,
        span_min=row.longest_day_min,
    )
