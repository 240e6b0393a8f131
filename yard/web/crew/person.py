"""One person's page: this week and the next by day, hours and exceptions, load by week."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.day_names import said
from yard.models import (
    GaugeReading,
    Job,
    JobWork,
    OwnersRun,
    Person,
    Plan,
    PlannedJob,
    Weekday,
    YardHoliday,
    YardSettings,
)
from yard.pictures.board_input import SkillLoad, WeekHours
from yard.pictures.lettering import weekday_day_month
from yard.pictures.load import LoadInput, LoadPicture, lay_out
from yard.pictures.shapes import TradeGroup
from yard.queries.crew import jobs_of_person, left_at, work_done
from yard.queries.launches import last_floated
from yard.queries.runs import runs_of_person
from yard.tides.source import TideError
from yard.web.crew.load import (
    WEEKS_AHEAD,
    DayOfPerson,
    WeekOfPerson,
    day_of,
    hours_text,
    job_at,
    monday_of,
    next_after,
    weeks_of,
)
from yard.web.crew.words import dated_words, job_in_words, job_named, skills_in_words
from yard.web.days.hours import in_words, length_min, span_on
from yard.web.days.job_water import Tides, job_water, water_words
from yard.web.days.place_words import units_words
from yard.web.days.ramp_work import boat_address, boat_name
from yard.web.days.water import tide_of
from yard.web.runs.words import RunLine, run_lines
from yard.web.units import at_minute, local

DAYS_SHOWN = 14


@dataclass(frozen=True)
class PersonJob:
    """A job of one day in words. times: of that day; people: who else is on it."""

    times: str
    boat: str
    boat_url: str
    job: str
    place: str
    people: str
    water: str
    cautions: str
    provisional: bool
    done: bool


@dataclass(frozen=True)
class PersonPageDay:
    """note: away, a holiday, or outside of the usual hours for a tide. worked: what was done, as reported."""

    day: date
    today: bool
    hours: str
    note: str
    jobs: tuple[PersonJob, ...]
    runs: tuple[RunLine, ...]
    worked: tuple[str, ...]


@dataclass(frozen=True)
class PersonPage:
    """left_on: the day on which somebody who has left was written down as gone; last_day: as agreed, if it is.

    now, then: the job under way and the next one, "" for none. load: the picture; weeks: the same in figures.
    """

    person: Person
    left_on: date | None
    last_day: date | None
    skills: str
    now: str
    then: str
    days: tuple[PersonPageDay, ...]
    week_hours: tuple[tuple[str, str], ...]
    rules: tuple[str, ...]
    exceptions: tuple[str, ...]
    holidays: tuple[str, ...]
    load: LoadPicture
    weeks: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class PersonTold:
    """What the page is made of. rows: the person's planned jobs from this Monday on, by start; work: what was done."""

    person: Person
    yard: YardSettings
    rows: Sequence[PlannedJob]
    work: Sequence[JobWork]
    holidays: Mapping[date, str]
    tides: Tides
    floated: Mapping[int, GaugeReading]
    now: datetime
    left_at: datetime | None = None
    runs: Sequence[OwnersRun] = ()

    @property
    def today(self) -> date:
        return local(self.now).date()


def read_person(person: Person, plan: Plan | None, yard: YardSettings, *, now: datetime) -> PersonTold:
    """Ten queries at most, however many jobs and runs; one more for somebody who has left."""
    monday = monday_of(local(now).date())
    until = at_minute(monday + timedelta(days=7 * WEEKS_AHEAD), 0)
    rows = jobs_of_person(plan, person, at_minute(monday, 0), until) if plan is not None else []
    boats = (row.job.order.boat_id for row in rows)
    return PersonTold(
        person=person,
        yard=yard,
        rows=rows,
        work=work_done(person, monday, local(now).date()),
        holidays=dict(YardHoliday.objects.filter(day__gte=monday).values_list("day", "name")),
        tides={where: tide_of(yard, where) for where in ("ramp", "field")},
        floated=last_floated(boat for boat in boats if boat is not None),
        now=now,
        left_at=left_at(person) if person.archived else None,
        runs=runs_of_person(person, at_minute(monday, 0), at_minute(monday, 1440 * DAYS_SHOWN)),
    )


def person_page(told: PersonTold) -> PersonPage:
    person, monday = told.person, monday_of(told.today)
    days = [monday + timedelta(days=n) for n in range(DAYS_SHOWN)]
    today = day_of(person, told.today, told.rows, told.holidays)
    weeks = weeks_of(person, told.rows, told.today, told.holidays)
    dated = [row for row in person.dated_hours.all() if row.ends_at > told.now]
    current = job_at(told.rows, told.now, today.here)
    return PersonPage(
        person=person,
        left_on=local(told.left_at).date() if told.left_at else None,
        last_day=person.leaves_on - timedelta(days=1) if person.leaves_on else None,
        skills=skills_in_words(person),
        now=job_named(current) if current else "",
        then=job_in_words(next_after(told.rows, told.now), told.now),
        days=tuple(_day(told, day) for day in days),
        week_hours=_week_hours(person),
        rules=tuple(_rules(person)),
        exceptions=tuple(f"{dated_words(row, told.today)}: {row.get_kind_display()}" for row in dated),
        holidays=tuple(
            f"{weekday_day_month(day)}: {name}" for day, name in sorted(told.holidays.items()) if day >= told.today
        ),
        load=_load(told, weeks),
        weeks=tuple(
            (
                weekday_day_month(week.monday),
                _("{planned} of {here}").format(planned=hours_text(week.planned_min), here=hours_text(week.here_min)),
                "" if week.per_cent is None else f"{week.per_cent} %",
            )
            for week in weeks
        ),
    )


def _day(told: PersonTold, day: date) -> PersonPageDay:
    shown = day_of(told.person, day, told.rows, told.holidays)
    starts, ends = at_minute(day, 0), at_minute(day, 1440)
    rows = [row for row in told.rows if row.starts_at < ends and row.ends_at > starts]
    return PersonPageDay(
        day=day,
        today=day == told.today,
        hours=f"{in_words(shown.here)} ({hours_text(length_min(shown.here))})" if shown.here else "",
        note=_note(shown),
        jobs=tuple(_job(told, row, day) for row in rows),
        runs=run_lines(told.runs, day, of=told.person.pk),
        worked=tuple(_worked(each) for each in told.work if each.worked_on == day),
    )


def _worked(each: JobWork) -> str:
    """ "Sanderling, Launch, 1 h 30" """
    length = f", {hours_text(each.worked_min)}" if each.worked_min else ""
    return f"{boat_name(each.job.order)}, {each.job.name}{length}"


def _note(shown: DayOfPerson) -> str:
    notes = [shown.holiday] if shown.holiday else []
    if shown.away:
        notes.append(_("away part of the day") if shown.here else _("away"))
    elif not shown.here and not shown.holiday:
        notes.append(_("not at work"))
    if shown.here and shown.slides:
        notes.append(_("the day slides: work outside of the usual hours"))
    return ", ".join(notes)


def _job(told: PersonTold, row: PlannedJob, day: date) -> PersonJob:
    order = row.job.order
    others = [each.name for each in row.planned_people.all() if each.person_id != told.person.pk]
    return PersonJob(
        times=_times(row, day),
        boat=boat_name(order),
        boat_url=boat_address(order.boat),
        job=row.job.name,
        place=", ".join(units_words(row.planned_places.all())),
        people=", ".join(others),
        water=_water(told, row, day),
        cautions=row.job.cautions or row.job.kind.cautions,
        provisional=row.provisional,
        done=row.job.state == Job.State.DONE,
    )


def _water(told: PersonTold, row: PlannedJob, day: date) -> str:
    try:
        return water_words(job_water(row.job, told.yard, day, told.tides, told.floated), told.yard)
    except TideError as error:
        return _("Water not known: {why}").format(why=error)


def _times(row: PlannedJob, day: date) -> str:
    """ "10:30 to 12:00"; work over several days says which part of it this is."""
    span = span_on(row.starts_at, row.ends_at, day)
    starts, ends = said(local(row.starts_at), "H:i"), said(local(row.ends_at), "H:i")
    match span.starts_min >= 0, span.ends_min <= 1440:
        case True, True:
            return _("{first} to {last}").format(first=starts, last=ends)
        case True, False:
            return _("from {time}").format(time=starts)
        case False, True:
            return _("until {time}").format(time=ends)
        case _:
            return _("all day")


def _week_hours(person: Person) -> tuple[tuple[str, str], ...]:
    """The weekdays that have hours, each with them."""
    found: dict[int, list[str]] = {}
    for row in person.weekly_hours.all():
        found.setdefault(row.weekday, []).append(
            _("{first} to {last}").format(first=said(row.starts, "H:i"), last=said(row.ends, "H:i"))
        )
    return tuple((str(Weekday(weekday).label), ", ".join(found[weekday])) for weekday in sorted(found))


def _rules(person: Person) -> list[str]:
    """How far a day may slide for a tide, and overtime."""
    if person.contractor:
        words, slip = _("A contractor: comes on agreed dates."), person.usual_slip_days
        return [f"{words} {_('Usual slip: {n} days.').format(n=slip)}" if slip else words]
    rules = [_slides(person) or _("No day slides for a tide.")]
    rules.append(
        _("Overtime: up to {hours} a week.").format(hours=hours_text(person.overtime_min_per_week))
        if person.overtime_min_per_week
        else _("No overtime.")
    )
    rules.append(
        _("Longest day {day}, least rest between two {rest}.").format(
            day=hours_text(person.longest_day_min), rest=hours_text(person.least_rest_min)
        )
    )
    return rules


def _slides(person: Person) -> str:
    """How far a day may begin earlier or end later, and how often; "" for not at all."""
    early, late = person.early_slide_min, person.late_slide_min
    if not person.slides_per_week or not (early or late):
        return ""
    if early and late:
        words = _("start up to {early} early or end up to {late} late")
    else:
        words = _("start up to {early} early") if early else _("end up to {late} late")
    return ngettext(
        "For a tide a day may {slide}, once a week at most.",
        "For a tide a day may {slide}, {n} times a week at most.",
        person.slides_per_week,
    ).format(slide=words.format(early=hours_text(early), late=hours_text(late)), n=person.slides_per_week)


def _load(told: PersonTold, weeks: Sequence[WeekOfPerson]) -> LoadPicture:
    hours = tuple(WeekHours(week.monday, week.planned_min / 60, week.here_min / 60) for week in weeks)
    return lay_out(LoadInput(weeks[0].monday, len(weeks), (SkillLoad(told.person.short_name, TradeGroup.YARD, hours),)))
