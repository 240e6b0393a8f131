"""Closures that a forecast suggests: a person accepts or drops each; a forecast alone moves nothing.

An hour of work that the forecast shuts for every kind of outdoor work suggests that all outdoors be closed; one that
shuts work afloat, that the water be; one that shuts a single place for what is planned there, that the place be. Only
hours in which the posted plan has such work are told of, so that the list stays short. What a data sheet asks of the
air shuts no place: it binds the one job in which the product is put on, and the planner minds it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Closure, Event, HourlyForecast, Place, Plan, PlannedJob, WaterNeed, YardSettings
from yard.queries.clock import yard_clock
from yard.queries.forecasts import latest_forecast
from yard.services.facts_revision import bump_facts
from yard.services.happenings import Accepted, EventRefused
from yard.services.read_problem.forecast import judged_at
from yard.services.record_event import record_event
from yard.services.weather_limits import WORK_OF, limits_of
from yard.speech import number, short_number
from yard.weather.hourly import HOUR, Hour, hours_from_rows
from yard.weather.judge import JudgedHour, Measure, Verdict
from yard.weather.limits import Limits, WorkKind
from yard.weather.refresh import TOO_OLD_AFTER

AHEAD = timedelta(days=7)
WIND_BOUND = (WorkKind.SAILS_AND_COVERS, WorkKind.PATTERN, WorkKind.MAST, WorkKind.AFLOAT)
State = Closure.State
Judged = Mapping[tuple[WorkKind, int | None], Mapping[datetime, JudgedHour]]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Hours in a row that are shut: [starts_at, ends_at), UTC, for a reason in words."""

    covers: str
    place: Place | None
    starts_at: datetime
    ends_at: datetime
    reason: str


def suggested_closures(now: datetime) -> list[Closure]:
    """Those that nobody has decided on and that are not over, soonest first. One query."""
    rows = Closure.objects.filter(state=State.SUGGESTED, ends_at__gt=now)
    return list(rows.select_related("place", "forecast", "made_by").order_by("starts_at", "id"))


def suggest_closures(*, real_now: datetime) -> list[Closure]:
    """Bring the suggestions up to the newest forecast: those it no longer bears are withdrawn, new ones made.

    What a person dropped is not suggested again unless it has grown.
    """
    yard, forecast = YardSettings.objects.filter(pk=1).first(), latest_forecast()
    if yard is None or forecast is None:
        return []
    now = yard_clock(yard, real_now=real_now)
    if now - forecast.updated_at > TOO_OLD_AFTER:
        return []
    found = list(_stretches(forecast, yard, now))
    with transaction.atomic():
        bump_facts()
        stale = Closure.objects.filter(state=State.SUGGESTED, forecast__isnull=False, decided_by=None)
        for row in stale:
            if not any(_same(row, one) for one in found):
                row.state = State.WITHDRAWN
                row.save()
        return [_keep(one, forecast, now) for one in found if not _known(one)]


def accept_closure(closure: Closure, *, seen_version: int, by: User, now: datetime) -> Event:
    """Close it.  Raises EventRefused where somebody decided on it meanwhile."""
    with transaction.atomic():
        bump_facts()
        return record_event(Accepted(_undecided(closure, seen_version)), by=by, now=now)


def drop_closure(closure: Closure, *, seen_version: int, by: User, now: datetime) -> None:
    """Leave it open; the same hours are not suggested again.  Raises EventRefused as accepting does."""
    with transaction.atomic():
        bump_facts()
        row = _undecided(closure, seen_version)
        row.state, row.decided_by, row.decided_at = State.WITHDRAWN, by, now
        row.save()


def _undecided(closure: Closure, seen_version: int) -> Closure:
    row = Closure.objects.select_related("place", "decided_by").get(pk=closure.pk)
    if row.state != State.SUGGESTED or row.version != seen_version:
        raise EventRefused(
            _("“{closure}” is {state} already, or was changed: look at the list again.").format(
                closure=row, state=row.get_state_display()
            )
        )
    return row


def _keep(one: Stretch, forecast: HourlyForecast, now: datetime) -> Closure:
    return Closure.objects.create(
        covers=one.covers,
        place=one.place,
        starts_at=one.starts_at,
        ends_at=one.ends_at,
        reason=one.reason[:200],
        forecast=forecast,
        made_at=now,
    )


def _known(one: Stretch) -> bool:
    """Whether hours that hold these are suggested, closed, or were dropped by a person."""
    rows = Closure.objects.filter(starts_at__lte=one.starts_at, ends_at__gte=one.ends_at)
    mine = rows.filter(covers=one.covers, place=one.place)
    dropped = mine.filter(state=State.WITHDRAWN, decided_by__isnull=False).exists()
    outdoors = rows.filter(covers=Closure.Covers.OUTDOORS, state__in=(State.ACCEPTED, State.SUGGESTED)).exists()
    return dropped or outdoors or mine.filter(state__in=(State.ACCEPTED, State.SUGGESTED)).exists()


def _same(row: Closure, one: Stretch) -> bool:
    return (row.covers, row.place_id) == (one.covers, one.place.pk if one.place else None) and (
        row.starts_at <= one.starts_at and row.ends_at >= one.ends_at
    )


def _stretches(forecast: HourlyForecast, yard: YardSettings, now: datetime) -> Iterator[Stretch]:
    hours = [hour for hour in hours_from_rows(forecast.rows) if now <= hour.start + HOUR and hour.start < now + AHEAD]
    plan = Plan.objects.filter(state=Plan.State.POSTED).first()
    if plan is None or not hours:
        return
    rows = list(_outdoor_rows(plan, hours[0].start, hours[-1].start + HOUR))
    limits = limits_of(yard)
    places = {each.place_id: each.place for row in rows for each in row.planned_places.all() if each.place.outdoor}
    judged = _judge(hours, limits, [None, *places.values()])
    shut: dict[tuple[str, int | None], list[tuple[datetime, JudgedHour]]] = {}
    for hour in hours:
        for row in rows:
            if row.starts_at < hour.start + HOUR and hour.start < row.ends_at:
                key = _key(row, hour.start, judged)
                if key is not None and (hour.start, key[1]) not in shut.setdefault(key[0], []):
                    shut[key[0]].append((hour.start, key[1]))
    for (covers, place), told in sorted(shut.items(), key=lambda each: (each[0][0], each[0][1] or 0)):
        yield from _runs(covers, places.get(place or 0), told)


def _outdoor_rows(plan: Plan, starts_at: datetime, ends_at: datetime) -> Iterator[PlannedJob]:
    rows = plan.planned_jobs.filter(starts_at__lt=ends_at, ends_at__gt=starts_at, job__state__in=("open", "started"))
    rows = rows.exclude(job__outdoor=False, job__water_need=WaterNeed.NONE)
    yield from rows.select_related("job__kind").prefetch_related("planned_places__place").order_by("starts_at", "id")


def _judge(hours: Sequence[Hour], limits: Mapping[WorkKind, Limits], places: Sequence[Place | None]) -> Judged:
    return {
        (kind, place.pk if place is not None else None): {
            hour.start: judged for hour, judged in zip(hours, judged_at(hours, limits[kind], place), strict=True)
        }
        for kind in WorkKind
        for place in places
    }


def _key(row: PlannedJob, start: datetime, judged: Judged) -> tuple[tuple[str, int | None], JudgedHour] | None:
    """What is shut in that hour for this job, and the hour as judged: the widest that holds."""
    kind = WORK_OF.get(row.job.weather_class)
    if kind is None:
        return None
    afloat = judged[WorkKind.AFLOAT, None][start]
    if all(judged[each, None][start].verdict is Verdict.CLOSED for each in WorkKind):
        return (Closure.Covers.OUTDOORS, None), afloat
    if all(judged[each, None][start].verdict is Verdict.CLOSED for each in WIND_BOUND) and kind in WIND_BOUND:
        return (Closure.Covers.OUTDOORS, None) if row.job.water_need == WaterNeed.NONE else (
            Closure.Covers.WATER,
            None,
        ), afloat
    if row.job.water_need != WaterNeed.NONE and afloat.verdict is Verdict.CLOSED:
        return (Closure.Covers.WATER, None), afloat
    for each in row.planned_places.all():
        there = judged.get((kind, each.place_id), {}).get(start)
        if there is not None and there.verdict is Verdict.CLOSED:
            return (Closure.Covers.PLACE, each.place_id), there
    return None


def _runs(covers: str, place: Place | None, told: Sequence[tuple[datetime, JudgedHour]]) -> Iterator[Stretch]:
    """Hours that follow one another as one stretch, with the worst reason."""
    by_start = dict(sorted(told))
    starts = list(by_start)
    first = 0
    for index, start in enumerate(starts):
        if index + 1 == len(starts) or starts[index + 1] != start + HOUR:
            run = [by_start[each] for each in starts[first : index + 1]]
            yield Stretch(covers, place, starts[first], start + HOUR, reason_of(run))
            first = index + 1


def reason_of(run: Sequence[JudgedHour]) -> str:
    """ "forecast: gusts up to 31 kn, limit 22" """
    reasons = [reason for hour in run for reason in hour.reasons if reason.verdict is Verdict.CLOSED]
    for measure, words in (
        (Measure.GUST, _("forecast: gusts up to {value} kn, limit {limit}")),
        (Measure.WIND, _("forecast: wind up to {value} kn, limit {limit}")),
    ):
        values = [reason for reason in reasons if reason.measure is measure and reason.value is not None]
        if values:
            worst = max(values, key=lambda reason: reason.value or 0.0)
            close = worst.value is not None and worst.limit is not None and worst.value - worst.limit < 1
            assert worst.value is not None and worst.limit is not None  # noqa: PT018 - both are filtered for above
            return words.format(value=number(worst.value, 1 if close else 0), limit=short_number(worst.limit))
    names = dict.fromkeys(_(reason.measure.value) for reason in reasons)
    return _("forecast: {what}").format(what=", ".join(names)) if names else _("forecast")
