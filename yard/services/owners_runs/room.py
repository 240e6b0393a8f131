"""Where an owners' run finds room: the workboat free between tows and closures, a charge that lasts, hands for her."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet
from django.utils.translation import gettext as _

from yard.models import (
    Closure,
    DatedHours,
    OwnersRun,
    Person,
    Place,
    PlaceKind,
    Plan,
    PlannedJob,
    RunWish,
    YardHoliday,
    YardSettings,
)
from yard.queries.outings import outings_since

QUARTER = timedelta(minutes=15)
RUN_MIN = 30
"""Out, alongside and back, where nobody says otherwise (common practice)."""
OPERATOR = "coxswain"
"""The skill of whoever runs a workboat that names nobody."""
OFFERED = 3


class RunRefused(Exception):
    """It cannot be so; `faults` are whole sentences with the remedy. Nothing was saved."""

    def __init__(self, *faults: str) -> None:
        super().__init__(" ".join(faults))
        self.faults = faults


@dataclass(frozen=True, slots=True)
class Span:
    """[starts_at, ends_at): a workboat or somebody is taken. why: in words, after "because"."""

    starts_at: datetime
    ends_at: datetime
    why: str
    job: PlannedJob | None = None
    over: bool = False

    @property
    def stands(self) -> bool:
        """Work that no planning moves: under way, over, or pinned by a person."""
        row = self.job
        if row is None:
            return self.over
        return row.job.state != "open" or any(pin.withdrawn_at is None for pin in row.job.pins.all())

    def meets(self, starts: datetime, ends: datetime) -> bool:
        return self.starts_at < ends and starts < self.ends_at


@dataclass(frozen=True, slots=True)
class Offer:
    """One way of carrying somebody: on a run that is booked (`run`), or on a new one."""

    place: Place
    leaves_at: datetime
    back_at: datetime
    people: tuple[Person, ...]
    seats_left: int
    run: OwnersRun | None = None


@dataclass(frozen=True, slots=True)
class Spent:
    """What a workboat runs on one day, minutes: for work planned, and for owners.

    charge_lasts_min: None where no charge binds her; charges: how many she has in the day.
    """

    place: Place
    work_min: int
    runs_min: int
    charge_lasts_min: int | None
    charges: int

    @property
    def over(self) -> bool:
        lasts = self.charge_lasts_min
        return lasts is not None and self.work_min + self.runs_min > lasts * self.charges


def zone_of() -> ZoneInfo:
    return ZoneInfo(YardSettings.objects.values_list("time_zone", flat=True).filter(pk=1).first() or "UTC")


def boats_that_carry() -> QuerySet[Place]:
    """Workboats with seats for owners."""
    rows = Place.objects.filter(kind=PlaceKind.WORKBOAT, archived=False, seats__isnull=False)
    return rows.prefetch_related("operators", "hours").order_by("sequence", "name", "id")


class DayOfBoats:
    """One day of the yard as it stands: who and what is taken when. Some dozen queries, however many runs."""

    def __init__(self, day: date, *, without: OwnersRun | None = None) -> None:
        self.zone, self.day = zone_of(), day
        self.begins = datetime.combine(day, time(), tzinfo=self.zone)
        self.ends = datetime.combine(day + timedelta(days=1), time(), tzinfo=self.zone)
        within = {"starts_at__lt": self.ends, "ends_at__gt": self.begins}
        rows = PlannedJob.objects.filter(plan__state=Plan.State.POSTED, **within).exclude(job__state="cancelled")
        self.planned = list(
            rows.select_related("job__order__boat")
            .prefetch_related("planned_places", "planned_people", "job__pins")
            .order_by("starts_at", "id")
        )
        said_by = self.ends + timedelta(days=1)  # what was broken off may be said the next morning
        self.over = [each for each in outings_since(self.begins, said_by) if each.starts_at < self.ends]
        runs = OwnersRun.objects.filter(called_off_at=None, leaves_at__lt=self.ends, back_at__gt=self.begins)
        runs = runs.exclude(pk=without.pk) if without is not None else runs
        booked = Prefetch("wishes", RunWish.objects.filter(state=RunWish.State.BOOKED))
        self.runs = list(runs.select_related("place").prefetch_related("people", booked).order_by("leaves_at", "id"))
        self.closures = list(Closure.objects.filter(state=Closure.State.ACCEPTED, **within))
        self.boats = list(boats_that_carry())
        people = Person.objects.filter(archived=False).prefetch_related("skills__skill", "weekly_hours")
        dated = Prefetch("dated_hours", DatedHours.objects.filter(**within))
        self.people = list(people.prefetch_related(dated).order_by("short_name", "id"))
        self.holiday = YardHoliday.objects.filter(day=day).exists()

    def at(self, clock: time) -> datetime:
        """An instant of the day by the yard's clock; 00:00 as an end is midnight."""
        return datetime.combine(self.day, clock, tzinfo=self.zone)

    def taken_boat(self, boat: Place) -> Iterator[Span]:
        """When a workboat is not free: work, runs, closures, her own hours, her charge."""
        for row in self.planned:
            if any(each.place_id == boat.pk for each in row.planned_places.all()):
                yield Span(row.starts_at, row.ends_at, _("{who} does “{job}”").format(who=boat, job=row.job.name), row)
        for run in self.runs:
            if run.place_id == boat.pk:
                yield Span(run.leaves_at, run.back_at, _("{who} is out with others").format(who=boat))
        for shut in self.closures:
            if shut.covers != Closure.Covers.PLACE or shut.place_id == boat.pk:
                yield Span(shut.starts_at, shut.ends_at, _("it is closed ({reason})").format(reason=shut.reason))
        if boat.charged_at is not None:
            begins = self.at(boat.charged_at)
            yield Span(
                begins, begins + timedelta(minutes=boat.charge_min or 0), _("{boat} is being charged").format(boat=boat)
            )
        hours = [row for row in boat.hours.all() if row.weekday == self.day.weekday()]
        if boat.hours.all():
            spans = ((self.at(row.starts), self._end(row.ends)) for row in hours)
            yield from self._outside(spans, _("{boat} is not used at that hour").format(boat=boat))

    def taken_person(self, person: Person) -> Iterator[Span]:
        """When somebody is not free: other work, runs, leave, and outside of their hours."""
        name = person.short_name
        for row in self.planned:
            if any(each.person_id == person.pk for each in row.planned_people.all()):
                yield Span(row.starts_at, row.ends_at, _("{who} does “{job}”").format(who=name, job=row.job.name), row)
        for run in self.runs:
            if any(each.pk == person.pk for each in run.people.all()):
                yield Span(run.leaves_at, run.back_at, _("{who} is out with others").format(who=name))
        dated = list(person.dated_hours.all())
        for each in dated:
            if each.kind == DatedHours.Kind.AWAY:
                yield Span(each.starts_at, each.ends_at, _("{name} is away").format(name=name))
        here = [(each.starts_at, each.ends_at) for each in dated if each.kind == DatedHours.Kind.HERE]
        if not self.holiday and person.of_the_yard_on(self.day):
            week = [row for row in person.weekly_hours.all() if row.weekday == self.day.weekday()]
            here += [(self.at(row.starts), self._end(row.ends)) for row in week]
        yield from self._outside(here, _("{name} is not at work").format(name=name))

    def work_of(self, boat: Place) -> list[Span]:
        """What she runs for work that day: what is over as it was, whichever plan had it; the rest as it is planned."""
        done = {each.job for each in self.over if each.done}
        found = [
            Span(row.starts_at, row.ends_at, "", row)
            for row in self.planned
            if row.job_id not in done and any(each.place_id == boat.pk for each in row.planned_places.all())
        ]
        return found + [
            Span(each.starts_at, each.ends_at, "", over=True) for each in self.over if each.place == boat.pk
        ]

    def _end(self, clock: time) -> datetime:
        return self.ends if clock == time() else self.at(clock)

    def _outside(self, spans: Iterable[tuple[datetime, datetime]], why: str) -> Iterator[Span]:
        at = self.begins
        for starts, ends in sorted(spans):
            if at < starts:
                yield Span(at, starts, why)
            at = max(at, ends)
        if at < self.ends:
            yield Span(at, self.ends, why)

    def operators(self, boat: Place) -> list[Person]:
        """Who may run her: those named, else whoever has the skill, the best first."""
        named = {person.pk for person in boat.operators.all()}
        levels = {
            person.pk: max((held.level for held in person.skills.all() if held.skill.key == OPERATOR), default=0)
            for person in self.people
        }
        able = [one for one in self.people if (one.pk in named if named else levels[one.pk] > 0)]
        return sorted(able, key=lambda one: -levels[one.pk])

    def over_charge(self, boat: Place, leaves: datetime, back: datetime, *, beside_work: bool = True) -> int:
        """Minutes by which a run more would outlast the charge that it runs on; 0 where it does not.

        beside_work: planned work runs on it too; else it is planned anew after the run.
        """
        if boat.runs_min is None:
            return 0
        from_at, until_at = self._on_charge(boat, leaves)
        out = [span for span in self.work_of(boat) if beside_work or span.stands]
        out += [Span(run.leaves_at, run.back_at, "") for run in self.runs if run.place_id == boat.pk]
        mine = [span for span in out if from_at <= span.starts_at < until_at]
        minutes = sum((span.ends_at - span.starts_at) / timedelta(minutes=1) for span in mine)
        return max(0, round(minutes + (back - leaves) / timedelta(minutes=1) - boat.runs_min))

    def _on_charge(self, boat: Place, at: datetime) -> tuple[datetime, datetime]:
        if boat.charged_at is None:
            return self.begins, self.ends
        pause = self.at(boat.charged_at)
        return (self.begins, pause) if at < pause else (pause, self.ends)


def offers_for(wish: RunWish, *, now: datetime) -> list[Offer]:
    """The ways in which somebody could be carried as wished: with others first, then the first hours of each boat."""
    day = DayOfBoats(wish.from_at.astimezone(zone_of()).date())
    found = []
    for run in day.runs:
        left = seats_left(run)
        fits = wish.from_at <= run.leaves_at <= wish.until_at and run.leaves_at > now
        if fits and left >= wish.people:
            found.append(Offer(run.place, run.leaves_at, run.back_at, tuple(run.people.all()), left, run))
    for boat in day.boats:
        found += _new_runs(day, boat, wish, now)[:OFFERED]
    return found


def _new_runs(day: DayOfBoats, boat: Place, wish: RunWish, now: datetime) -> list[Offer]:
    assert boat.seats is not None  # the boats that carry have seats
    found: list[Offer] = []
    if boat.seats < wish.people + 1:
        return found
    hands = [(person, list(day.taken_person(person))) for person in day.operators(boat)]
    taken = list(day.taken_boat(boat))
    at, length = wish.from_at, timedelta(minutes=RUN_MIN)
    while at <= wish.until_at and len(found) < OFFERED:
        back = at + length
        busy = any(span.meets(at, back) for span in taken) or day.over_charge(boat, at, back)
        if at > now and not busy:
            free = next((one for one, spans in hands if not any(span.meets(at, back) for span in spans)), None)
            if free is not None:
                found.append(Offer(boat, at, back, (free,), boat.seats - 1))
        at += QUARTER
    return found


def seats_left(run: OwnersRun) -> int:
    """Seats that nobody has yet; the run's people and wishes are at hand."""
    carried = sum(wish.people for wish in run.wishes.all() if wish.state == RunWish.State.BOOKED)
    return (run.place.seats or 0) - len(run.people.all()) - carried


def spent_on(day: date) -> list[Spent]:
    """What each workboat that carries owners, or runs on a charge, runs on that day."""
    rows = DayOfBoats(day)
    boats = Place.objects.filter(kind=PlaceKind.WORKBOAT, archived=False)
    found = []
    for boat in boats.filter(Q(seats__isnull=False) | Q(runs_min__isnull=False)).order_by("sequence", "id"):
        work = rows.work_of(boat)
        runs = [run for run in rows.runs if run.place_id == boat.pk]
        found.append(
            Spent(
                boat,
                _minutes((span.starts_at, span.ends_at) for span in work),
                _minutes((run.leaves_at, run.back_at) for run in runs),
                boat.runs_min,
                1 if boat.charged_at is None else 2,
            )
        )
    return found


def _minutes(spans: Iterable[tuple[datetime, datetime]]) -> int:
    return round(sum((ends - starts) / timedelta(minutes=1) for starts, ends in spans))


def faults_of(
    boat: Place,
    people: Sequence[Person],
    leaves: datetime,
    back: datetime,
    *,
    carried: int,
    goes_first: bool,
    without: OwnersRun | None,
) -> Iterator[str]:
    """Why a run cannot be so, in sentences. goes_first: planned work in its way is planned anew round it."""
    day = DayOfBoats(leaves.astimezone(zone_of()).date(), without=without)
    if back > day.ends:
        yield _("A run ends on the day on which it begins: set the hour at which they are back before midnight.")
    if boat.seats is None:
        yield _("{boat} carries no owners: say on her page how many seats she has.").format(boat=boat)
    elif boat.seats < len(people) + carried:
        yield _("{boat} has {seats} seats, and {people} would go, the crew with them: take fewer.").format(
            boat=boat, seats=boat.seats, people=len(people) + carried
        )
    able = {one.pk for one in day.operators(boat)}
    if not able & {one.pk for one in people}:
        names = ", ".join(one.short_name for one in day.operators(boat)) or _("nobody yet: give somebody the skill")
        yield _("Nobody named may run {boat}; who may: {names}.").format(boat=boat, names=names)
    for span in _in_the_way(day, boat, people, leaves, back):
        if span.job is None or not goes_first or span.stands:
            words = (
                _("{why}, {since} to {until}: choose another hour, or let the run go first.")
                if span.job is not None and not span.stands
                else _("{why}, {since} to {until}: choose another hour.")
            )
            since, until = (f"{at.astimezone(day.zone):%H:%M}" for at in (span.starts_at, span.ends_at))
            yield words.format(why=span.why, since=since, until=until)
    if over := day.over_charge(boat, leaves, back, beside_work=not goes_first):
        yield _(
            "{boat} would run {over} min longer than one charge lasts: a shorter run, another day or another boat."
        ).format(boat=boat, over=over)


def _in_the_way(
    day: DayOfBoats, boat: Place, people: Sequence[Person], leaves: datetime, back: datetime
) -> Iterator[Span]:
    known = {one.pk: one for one in day.people}
    spans = [*day.taken_boat(boat), *(span for one in people for span in day.taken_person(known.get(one.pk, one)))]
    yield from (span for span in spans if span.meets(leaves, back))


def work_in_the_way(boat: Place, people: Sequence[Person], leaves: datetime, back: datetime) -> list[PlannedJob]:
    """What the posted plan has there or with them at that time, each job once."""
    day = DayOfBoats(leaves.astimezone(zone_of()).date())
    rows = {span.job.pk: span.job for span in _in_the_way(day, boat, people, leaves, back) if span.job is not None}
    return list(rows.values())
