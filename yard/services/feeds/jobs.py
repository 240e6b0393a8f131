"""Jobs as events: for the yard by the hour, for owners by the day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, pgettext

from yard.day_names import said
from yard.feeds.event import LONGEST_NOTE, LONGEST_SUMMARY, Days, Shown
from yard.feeds.text import clean
from yard.models import (
    Fact,
    FeedMember,
    Job,
    Order,
    Person,
    PlannedJob,
    Telling,
    Trade,
    WeatherClass,
    YardSettings,
)
from yard.services.feeds.rows import FeedRows
from yard.services.feeds.visits import visits_of
from yard.services.feeds.wanted import Member, Wanted
from yard.services.feeds.water import WaterWords, geo_of
from yard.services.product_limits import WeatherBook
from yard.speech import short_number
from yard.tides.source import ASTRONOMICAL_ONLY
from yard.weather.limits import Limits

FIRM_TOLD = (Telling.State.FIRM, Telling.State.DONE)
COULD_MOVE = gettext_noop("What could move it")
DECIDES = gettext_noop("The tool plans; the person in charge decides, and anybody may stop a job.")
IN_CHARGE = gettext_noop("person in charge")
PERSON, BOAT, OWNER, PLACE = FeedMember.Kind.PERSON, FeedMember.Kind.BOAT, FeedMember.Kind.OWNER, FeedMember.Kind.PLACE


@dataclass(frozen=True)
class Work:
    """A job with its time, hands and places, whether a plan does it or it is done. [starts_at, ends_at), UTC."""

    job: Job
    starts_at: datetime
    ends_at: datetime
    people: tuple[tuple[str, Person], ...]
    places: tuple[tuple[str, int], ...]
    provisional: bool
    parts: tuple[tuple[str, datetime], ...]
    wet_at: datetime
    waits_on: tuple[Fact, ...]

    @property
    def done(self) -> bool:
        return self.job.state == Job.State.DONE


def wanted_jobs(rows: FeedRows) -> Iterator[Wanted]:
    """Every visit for the yard, and every job for its owners."""
    water = WaterWords(rows.yard, rows.berth_of)
    weather = WeatherBook.of(rows.yard, rows.sheets)
    planned = (_planned(row, rows) for row in (*rows.planned, *rows.was_planned))
    for work in (*planned, *(_done(job, rows) for job in rows.done)):
        yield from _for_the_yard(work, rows, water, weather)
        owners = rows.owners.get(work.job.order.boat_id or 0, ())
        if owners:
            yield _for_owners(work, rows, owners)


def _planned(row: PlannedJob, rows: FeedRows) -> Work:
    job = row.job
    starts, ends = _actual(job, row.starts_at, row.ends_at)
    people = {pk: (name, rows.people[pk]) for pk, name in rows.hands.get(row.pk, ())}
    if job.state == Job.State.DONE:
        people = _who_worked(job, rows) or people
    parts = tuple((str(part["name"]), datetime.fromisoformat(part["starts_at"])) for part in row.part_times)
    return Work(
        job=job,
        starts_at=starts,
        ends_at=ends,
        people=tuple(people.values()),
        places=tuple(dict.fromkeys((name, pk) for pk, name in rows.spots.get(row.pk, ()))),
        provisional=row.provisional,
        parts=() if job.state == Job.State.DONE else parts,
        wet_at=row.floats_at or starts,
        waits_on=tuple(rows.waits.get(job.pk, ())),
    )


def _done(job: Job, rows: FeedRows) -> Work:
    ends = job.actual_ends_at
    assert ends is not None  # the database sees to it that a finished job has its end
    ways = list(job.ways.all())
    length = timedelta(minutes=ways[0].duration_min if ways else 60)
    starts, ends = _actual(job, ends - length, ends)
    return Work(job, starts, ends, tuple(_who_worked(job, rows).values()), (), False, (), starts, ())


def _who_worked(job: Job, rows: FeedRows) -> dict[int, tuple[str, Person]]:
    people = [rows.people[pk] for pk in rows.worked.get(job.pk, ())]
    return {person.pk: (person.short_name, person) for person in people}


def _actual(job: Job, starts_at: datetime, ends_at: datetime) -> tuple[datetime, datetime]:
    """When it really was, as far as that is known; whole minutes, and at least one."""
    ends = job.actual_ends_at if job.state == Job.State.DONE and job.actual_ends_at else ends_at
    starts = job.actual_starts_at or min(starts_at, ends)
    starts, ends = (at.astimezone(UTC).replace(second=0, microsecond=0) for at in (starts, ends))
    return starts, max(ends, starts + timedelta(minutes=1))


def _for_the_yard(work: Work, rows: FeedRows, water: WaterWords, weather: WeatherBook) -> Iterator[Wanted]:
    job, boat = work.job, work.job.order.boat
    members: set[Member] = {(PERSON, person.pk) for _, person in work.people} | {(PLACE, pk) for _, pk in work.places}
    if boat is not None:
        members.add((BOAT, boat.pk))
    visits = visits_of(work.starts_at, work.ends_at, job.kind.pausing, [p for _, p in work.people], rows.hours)
    for number, visit in enumerate(visits):
        many = f" ({number + 1} of {len(visits)})" if len(visits) > 1 else ""
        shown = Shown(
            summary=title_of(f"{job.name}{many}", job.order),
            when=visit,
            location=", ".join(name for name, _ in work.places),
            people=tuple(name for name, _ in work.people),
            notes=short_enough(_notes(work, rows, water, weather)),
            categories=(str(Trade(job.kind.trade).label),),
            geo=geo_of(job, rows.yard, rows.berth_of),
            url=page_of(job.order),
            firm=work.done or not work.provisional,
            busy=True,
        )
        yield Wanted(f"job {job.pk} visit {number}", "jobs", shown, frozenset(members), job=job.pk)


def title_of(what: str, order: Order) -> str:
    """What, and whose: her name; of work without a boat the order's number, as calendars name no owner."""
    whose = order.boat.name if order.boat is not None else f"order {order.ref}"
    words = f"{clean(what)}, {clean(whose)}".strip(", ") or f"order {order.ref}"
    return words if len(words) <= LONGEST_SUMMARY else words[: LONGEST_SUMMARY - 1] + "…"


def short_enough(notes: Iterable[str]) -> tuple[str, ...]:
    """Cut where an event would grow too long; one row must never keep all calendars from being written."""
    kept, left = [], LONGEST_NOTE
    for note in notes:
        kept.append(note if len(note) <= left else f"{note[: max(left - 1, 0)]}…"[:left])
        left -= len(kept[-1])
    return tuple(filter(None, kept))


def _notes(work: Work, rows: FeedRows, water: WaterWords, weather: WeatherBook) -> Iterator[str]:
    """Done; its parts; water; limits; what it waits on; the order; cautions."""
    job, zone = work.job, ZoneInfo(rows.yard.time_zone)
    if work.done:
        yield _("Done.")
    if len(work.parts) > 1:
        parts = "; ".join(f"{name} {at.astimezone(zone):%H:%M}" for name, at in work.parts)
        yield f"{parts[:1].upper()}{parts[1:]}."
    if not work.done:
        boat = job.order.boat_id
        tide = water.of(job, work.wet_at, work.ends_at, rows.floated.get(boat) if boat else None)
        yield from tide
        if job.outdoor and (limits := weather.of_job(job)) is not None:
            yield limit_words(limits, rows.yard)
        for sheet in weather.named(job):
            yield _("Put on: {sheet}, as its data sheet says.").format(sheet=sheet.name)
        for fact in work.waits_on:
            yield _("Waiting on {fact}.").format(fact=fact_words(fact))
    by = job.order.promised_date
    words = _("Order {ref}: {name}, promised by {day}.") if by else _("Order {ref}: {name}.")
    yield words.format(ref=job.order.ref, name=job.order.name, day=said(by, "j M") if by else "")
    if (cautions := job.cautions or job.kind.cautions) and not work.done:
        yield caution_words(cautions, tides_said=_(ASTRONOMICAL_ONLY) in tide)


def caution_words(cautions: str, *, tides_said: bool) -> str:
    """What the water's own line says is not said again, nor who decides where the caution itself says it."""
    for limit in dict.fromkeys((ASTRONOMICAL_ONLY, _(ASTRONOMICAL_ONLY))) if tides_said else ():
        for tides in (limit, f"{limit.partition(':')[0]}."):
            cautions = cautions.replace(tides, "").replace("  ", " ")
    words = _("Caution: {cautions}").format(cautions=cautions.strip())
    return words if IN_CHARGE in words or _(IN_CHARGE) in words else f"{words} {_(DECIDES)}"


def limit_words(limits: Limits, yard: YardSettings) -> str:
    """The usual limits of wind, rain and temperature in a line; a machine's manual binds where it is lower."""
    found = []
    if limits.wind_kn is not None:
        found.append(_("wind {wind} kn sustained").format(wind=short_number(limits.wind_kn)))
    if limits.gust_kn is not None:
        found.append(_("gusts {gusts} kn").format(gusts=short_number(limits.gust_kn)))
    if limits.dry:
        found.append(pgettext("weather", "dry"))
    if (least := limits.min_temp_c if limits.min_temp_c is not None else limits.above_temp_c) is not None:
        found.append(_("{least} or warmer").format(least=_degrees(least, yard)))
    if limits.below_rh is not None:
        found.append(_("humidity under {humidity}").format(humidity=f"{short_number(limits.below_rh)} %"))
    if limits.thunder_after_h is not None:
        found.append(_("no thunder"))
    return _("Limits: {limits}.").format(limits=", ".join(found)) if found else ""


def _degrees(celsius: float, yard: YardSettings) -> str:
    return f"{celsius * 1.8 + 32:.0f} °F" if yard.units == YardSettings.Units.FEET else f"{celsius:.0f} °C"


def fact_words(fact: Fact) -> str:
    """permit (expected 20 May), cloth (not known)."""
    if fact.expected_date is None:
        return _("{fact} (not known)").format(fact=fact.name)
    words = _("{fact} (guessed for {day})") if fact.guess else _("{fact} (expected {day})")
    return words.format(fact=fact.name, day=said(fact.expected_date, "j M"))


def is_told_done(notes: Sequence[str]) -> bool:
    """Whether these are an owner's notes of work that is done."""
    return _("Done.") in notes


def risks_told(notes: Sequence[str]) -> str:
    """What could move it, as an owner's notes have it; "" where nothing is said."""
    before = f"{_(COULD_MOVE)}: "
    return next((note.removeprefix(before).rstrip(".") for note in notes if note.startswith(before)), "")


def page_of(order: Order) -> str:
    """The address of the boat's page, where her jobs stand; of the order where there is no boat."""
    path = f"{_path('boat', order.boat_id)}#jobs" if order.boat_id else _path("order", order.pk)
    return f"{settings.SITE_ADDRESS}{path}"


@lru_cache(maxsize=4096)
def _path(name: str, pk: int) -> str:
    return reverse(name, args=[pk])


def _for_owners(work: Work, rows: FeedRows, owners: Sequence[int]) -> Wanted:
    """Whole days and no names of the crew. Firm is only what the owner was told is firm."""
    job, order, zone = work.job, work.job.order, ZoneInfo(rows.yard.time_zone)
    first = work.starts_at.astimezone(zone).date()
    last = (work.ends_at - timedelta(seconds=1)).astimezone(zone).date()
    told = rows.tellings.get(order.pk)
    notes = [_("Done.")] if work.done else []
    if not work.done and (risks := _risks(work)):
        notes.append(f"{_(COULD_MOVE)}: {risks}.")
    notes.append(_("{name}, order {ref}.").format(name=order.name, ref=order.ref))
    if rows.yard.phone:
        notes.append(_("Questions: {yard}, {phone}.").format(yard=rows.yard.name, phone=rows.yard.phone))
    shown = Shown(
        summary=title_of(job.name, order),
        when=Days(first, last + timedelta(days=1)),
        location=rows.yard.name,
        notes=short_enough(notes),
        categories=(str(Trade(job.kind.trade).label),),
        firm=work.done or (told is not None and told.state in FIRM_TOLD),
        busy=False,
    )
    members = frozenset((OWNER, pk) for pk in owners)
    return Wanted(f"job {job.pk} for owners", "jobs", shown, members, owners=True, job=job.pk)


def _risks(work: Work) -> str:
    job = work.job
    found = []
    if job.outdoor and job.weather_class != WeatherClass.NONE:
        found.append(_("the weather"))
    if job.water_need != "none":
        found.append(_("the tide"))
    found += [fact.name for fact in work.waits_on]
    return ", ".join(found)
