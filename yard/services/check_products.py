"""Products at the yard's door: a plan held against the makers' data sheets as the rows have them.

The planner is given windows and waits; here nothing of that is used. For each outdoor job in which a product is put on,
each hour of the forecast that it meets is compared with the sheet; between two jobs, the time that passes is compared
with the waits of the sheet itself, not with what the order has copied of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from yard.models import HourlyForecast, Job, JobLink, Pausing, ProductSheet
from yard.planning import plan as planner_plan
from yard.services.read_problem import ReadProblem
from yard.speech import number, short_number
from yard.weather.humidity import dew_point_c
from yard.weather.refresh import TOO_OLD_AFTER

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
"""The planner counts whole minutes: so much may a wait be short."""
AIR, WAITS = ("forecast", "windows"), "waits"
BINDS_FOR = timedelta(hours=48)
"""Of a forecast the first two days bind a plan; further out it says no more than the climate."""


@dataclass(frozen=True)
class ProductFault:
    """A job in air that its sheet does not allow ("product"), or too soon or too late after one ("product_wait")."""

    rule: str
    job: int
    message: str


def product_faults(read: ReadProblem, plan: planner_plan.Plan) -> list[ProductFault]:
    """Every placed job that is open and breaks a data sheet. What a planner pinned or waived is that person's word."""
    timeline = read.axis.timeline
    times = {
        read.jobs[row.job]: (timeline.starts_at(row.starts_at), timeline.ends_at(row.ends_at))
        for row in plan.placements
    }
    excused = {(read.jobs[row.job], row.rule) for row in read.problem.waivers}
    excused |= {(read.jobs[row.job], rule) for row in read.problem.pins for rule in (*AIR, WAITS)}
    links = (
        JobLink.objects.filter(product_sheet__isnull=False, before__order__state="open")
        .exclude(before__state=Job.State.CANCELLED)
        .select_related("before__kind", "after__kind", "product_sheet")
        .prefetch_related("product_sheet__waits")
        .order_by("id")
    )
    rows = list(links)
    open_air = {pk for pk in times if not any((pk, rule) in excused for rule in AIR)}
    bound = {pk for pk in times if (pk, WAITS) not in excused}
    return [
        *_in_bad_air(rows, times, _hours(read.now), open_air),
        *_out_of_time(rows, times, bound, read.now),
    ]


def _hours(now: datetime) -> list[Mapping[str, Any]]:
    """The hours of the forecast known then, as they are stored, that bind a plan made then."""
    row = HourlyForecast.objects.filter(fetched_at__lte=now).order_by("-updated_at", "-id").first()
    if row is None or now - row.updated_at > TOO_OLD_AFTER:
        return []
    return [hour for hour in row.rows if now < _start(hour) + HOUR <= now + BINDS_FOR]


def _start(hour: Mapping[str, Any]) -> datetime:
    return datetime.fromisoformat(hour["start"].replace("Z", "+00:00")).astimezone(UTC)


def _in_bad_air(
    links: list[JobLink],
    times: Mapping[int, tuple[datetime, datetime]],
    hours: list[Mapping[str, Any]],
    judged: set[int],
) -> Iterator[ProductFault]:
    uses = {(link.before, link.product_sheet) for link in links}
    uses |= {(link.after, link.product_sheet) for link in links if link.after.kind_id == link.before.kind_id}
    for job, sheet in sorted(uses, key=lambda use: (use[0].pk, use[1].pk if use[1] else 0)):
        if job.kind.pausing != Pausing.FITTED:
            continue  # bench work goes on through any hour: no window is laid about it
        if sheet is None or not job.outdoor or job.state != Job.State.OPEN or job.pk not in judged:
            continue
        starts, ends = times[job.pk]
        met = [hour for hour in hours if _start(hour) < ends and starts < _start(hour) + HOUR]
        wrong = [(words, _start(hour)) for hour in met if (words := air_against(sheet, hour))]
        if wrong:
            words, at = wrong[0]
            yield ProductFault(
                "product",
                job.pk,
                _("{job}: {sheet} is put on {weather} at {at} UTC").format(
                    job=job.name, sheet=sheet.name, weather=words, at=f"{at:%Y-%m-%d %H:%M}"
                ),
            )


def air_against(sheet: ProductSheet, hour: Mapping[str, Any]) -> str:
    """What of an hour's air the sheet does not allow; "" where it allows it, or the forecast does not say."""
    warm, damp, dew = hour.get("temp_c"), hour.get("rh"), hour.get("dew_c")
    if dew is None and warm is not None and damp:
        dew = dew_point_c(warm, damp)
    if warm is not None and sheet.min_temp_c is not None and warm < sheet.min_temp_c:
        return _("at {warm} °C, its sheet says at least {least}").format(
            warm=number(warm, 1), least=short_number(sheet.min_temp_c)
        )
    if warm is not None and sheet.max_temp_c is not None and warm > sheet.max_temp_c:
        return _("at {warm} °C, its sheet says at most {most}").format(
            warm=number(warm, 1), most=short_number(sheet.max_temp_c)
        )
    if damp is not None and sheet.max_humidity_pct is not None and damp > sheet.max_humidity_pct:
        return _("at {damp} humidity, its sheet says at most {most}").format(
            damp=f"{number(damp, 0)} %", most=sheet.max_humidity_pct
        )
    spread = None if warm is None or dew is None else warm - dew
    if spread is not None and sheet.min_dew_spread_c is not None and spread < sheet.min_dew_spread_c:
        return _("{spread} °C above the dew point, its sheet says at least {least}").format(
            spread=number(spread, 1), least=short_number(sheet.min_dew_spread_c)
        )
    return ""


def _out_of_time(
    links: list[JobLink], times: Mapping[int, tuple[datetime, datetime]], bound: set[int], now: datetime
) -> Iterator[ProductFault]:
    """A wait that somebody typed for her alone is that person's word; one that ran out before now cannot be kept."""
    for link in links:
        sheet, after = link.product_sheet, link.after
        if sheet is None or link.origin == JobLink.Origin.BY_HAND or after.state != Job.State.OPEN:
            continue
        ended = times[link.before_id][1] if link.before_id in times else link.before.actual_ends_at
        if ended is None or after.pk not in bound:
            continue
        between = times[after.pk][0] - ended
        least, longest = _waits(sheet, coats=link.before.kind_id == after.kind_id)
        if least is not None and between < least - MINUTE:
            yield ProductFault("product_wait", after.pk, _too(after, sheet, between, "least", least))
        if longest is not None and between > longest + MINUTE and ended + longest >= now:
            yield ProductFault("product_wait", after.pk, _too(after, sheet, between, "most", longest))


def _waits(sheet: ProductSheet, *, coats: bool) -> tuple[timedelta | None, timedelta | None]:
    """The least and the longest wait that the sheet gives at the temperature that the yard plans for."""
    least, coldest = None, None
    for row in sheet.waits.all():
        if row.use != ("overcoat" if coats else "dry"):
            continue
        reached = sheet.planned_temp_c is not None and row.from_temp_c <= sheet.planned_temp_c
        if reached and (least is None or row.from_temp_c > least.from_temp_c):
            least = row
        if coldest is None or row.from_temp_c < coldest.from_temp_c:
            coldest = row
    read, longest = least or coldest, sheet.overcoat_max_min if coats else sheet.max_wait_min
    return (
        None if read is None else timedelta(minutes=read.min_wait_min),
        None if longest is None else timedelta(minutes=longest),
    )


def _too(job: Job, sheet: ProductSheet, between: timedelta, end: str, said: timedelta) -> str:
    hours, sheets = between.total_seconds() / 3600, said.total_seconds() / 3600
    return _("{job}: {hours} h after {sheet} was put on, its sheet says at {end} {limit} h").format(
        job=job.name, hours=number(hours, 1), sheet=sheet.name, end=end, limit=short_number(sheets)
    )
