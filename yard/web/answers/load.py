"""The load of a plan: hours by skill, places, berths by night and tides, used of what there is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _

from yard.models import Plan, Skill
from yard.pictures.load_weeks import UsePicture, UseRow, WeekHead, WeekUse, lay_out_head, lay_out_row
from yard.planning.capacity import Capacity, Row, capacity
from yard.planning.plan import read_plan_json
from yard.planning.problem import Problem, read_problem_json

UNIT_OF = {"minutes": 60, "nights": 1, "tides": 1}
LEAST_WEEKS = 8


@dataclass(frozen=True)
class Line:
    label: str
    used: float
    usable: float
    picture: UsePicture
    weeks: tuple[WeekUse, ...]


@dataclass(frozen=True)
class Part:
    """table: by week, the cells of every row. none: what is said where there is no row."""

    title: str
    about: str
    head: str
    unit: str
    rows: tuple[Line, ...]
    none: str = ""

    @property
    def table(self) -> list[tuple[date, list[WeekUse]]]:
        weeks = zip(*(line.weeks for line in self.rows), strict=True)
        return [(cells[0].monday, list(cells)) for cells in weeks]


@dataclass(frozen=True)
class LoadPage:
    """full: labels of the rows that are full in some week. first: the day from which it counts."""

    first: date
    full: list[str]
    head: WeekHead
    parts: tuple[Part, ...]


def load_page(plan: Plan) -> LoadPage:
    """From the plan's own stored season, so that it never changes. One query, for the names of skills."""
    problem = read_problem_json(plan.problem)
    found = capacity(problem, read_plan_json(plan.plan))
    last = _last_used(found)
    parts = _parts(problem, found, last)
    # a tide that is used may take another boat, so the tides are not called full here
    full = [line.label for part in parts[:-1] for line in part.rows if any(week.is_full for week in line.weeks)]
    mondays = tuple(_monday(problem, week.first_day) for week in found.everybody.weeks[:last])
    names = problem.calendar.day_names
    first = date.fromisoformat(names[min(problem.now // problem.calendar.quarters_per_day, len(names) - 1)])
    return LoadPage(first, full, lay_out_head(mondays), parts)


def _last_used(found: Capacity) -> int:
    """Weeks up to the last in which anybody works or a boat is launched: a season's empty end is not drawn."""
    used = [n for row in (found.everybody, found.tides) for n, week in enumerate(row.weeks, 1) if week.used]
    return max([LEAST_WEEKS, *used])


def _parts(problem: Problem, found: Capacity, last: int) -> tuple[Part, ...]:
    skills = dict(Skill.objects.values_list("key", "name"))
    places = {place.key: place.name for place in problem.places}

    def lines(rows: Iterable[tuple[str, Row]], unit: str) -> tuple[Line, ...]:
        return tuple(_line(problem, label, row, unit, last) for label, row in rows if row.used)

    people = [(_("Everybody"), found.everybody), *((_skill_name(skills, row.key), row) for row in found.skills)]
    work = [(places[row.key], row) for row in found.places]
    nights = [(places[row.key], row) for row in found.berths]
    tides = [(_("Least water that any boat needs"), found.tides), (_("Most water"), found.deepest)]
    return (
        Part(
            _("People"),
            _(
                "Hours planned for each skill, of the hours of everybody who has it. Somebody with two skills stands in"
                " both rows, so that two rows that are not full may not both be filled."
            ),
            _("Skill"),
            _("hours"),
            lines(people, _("hours")),
            _("Nobody's hours are planned."),
        ),
        Part(
            _("Places and drying lines"),
            _("Hours in which a place is taken, of the yard's hours; drying lines count all hours of working days."),
            _("Place"),
            _("hours"),
            lines(work, _("hours")),
            _("No place is used."),
        ),
        Part(
            _("Berths"),
            _("Nights that boats lie there, of the nights of working days."),
            _("Place"),
            _("nights"),
            lines(nights, _("nights")),
            _("No boat lies at a berth."),
        ),
        Part(
            _("Tides at the ramp"),
            _(
                "Tides on which a job at the ramp is planned, of those with water and light long enough for one: for"
                " the boat that needs the least water, and for the one that needs the most. A long tide may take a"
                " second."
            ),
            _("Water"),
            _("tides"),
            lines(tides, _("tides")),
            _("No job of this plan needs water at the ramp."),
        ),
    )


def _skill_name(names: dict[str, str], key: str) -> str:
    """ "rigger for Gin pole" is somebody of that skill who may work the place."""
    skill, apart, place = key.partition(" for ")
    name = names.get(skill, skill)
    return _("{skill}, for the {place}").format(skill=name, place=place) if apart else name


def _line(problem: Problem, label: str, row: Row, unit: str, last: int) -> Line:
    each = UNIT_OF[row.unit]
    weeks = tuple(
        WeekUse(_monday(problem, week.first_day), week.used / each, week.usable / each) for week in row.weeks[:last]
    )
    used, usable = sum(week.used for week in weeks), sum(week.usable for week in weeks)
    return Line(label, used, usable, lay_out_row(UseRow(label, unit, weeks)), weeks)


def _monday(problem: Problem, day: int) -> date:
    names = problem.calendar.day_names
    named = date.fromisoformat(names[day])
    return named - timedelta(days=named.weekday())
