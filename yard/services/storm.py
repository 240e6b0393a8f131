"""A storm is warned of: the list of what is to be done for each boat afloat, by her owner's standing instruction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import Boat, Closure, Event, GaugeReading, Storm, StormLine, Whereabouts, YardSettings
from yard.planning.storm_list import Afloat, haul_order
from yard.services.facts_revision import bump_facts
from yard.services.happenings import EventRefused, Scribe
from yard.services.pen import Pen
from yard.services.read_problem import WaterUnknown, level_for, tide_at
from yard.services.read_problem.rows import where_boats_are
from yard.services.record_event import take_back, write_event
from yard.services.storm_work import order_hauls, withdraw_hauls
from yard.services.written import Written
from yard.tides.daylight import LightRule, daylight, working_light
from yard.tides.source import TideError, TideSource

AFLOAT = (Whereabouts.Kind.BERTH, Whereabouts.Kind.MOORING)
HAUL_MIN = 30
"""Minutes of water asked for to get a boat onto the trailer (common practice, as for floating off)."""
BESIDE_MIN = 120
"""So far to either side of high water a boat is looked at."""
SHUTS_HAULING = (Closure.Covers.OUTDOORS, Closure.Covers.WATER)
Todo = Boat.InAStorm
ORDER = {Todo.HAUL: 0, Todo.ASK: 1, Todo.STRIP: 2, Todo.DOUBLE: 3}


@dataclass(frozen=True, slots=True)
class Warned:
    """name: of the storm. comes_at: when work must be over. closed_until: outdoors and water are shut until then."""

    name: str
    comes_at: datetime
    closed_until: datetime
    night_tides: bool = False
    hauls_per_tide: int = 4


def warn(what: Warned, *, by: User | None, now: datetime) -> Storm:
    """Write the storm, the hours it shuts, and its list.  now: the yard's clock.  Raises EventRefused."""
    yard = YardSettings.objects.get(pk=1)
    if what.comes_at <= now:
        raise EventRefused(_("The storm is to come: give a time after now."))
    if what.closed_until <= what.comes_at:
        raise EventRefused(_("Work is shut until a time after the storm comes."))
    if not 1 <= what.hauls_per_tide <= 20:
        raise EventRefused(_("A tide hauls 1 to 20 boats."))
    with transaction.atomic():
        bump_facts()
        if Storm.objects.filter(ended_at=None, event__withdrawn_at=None).exists():
            raise EventRefused(_("A storm list is open already: end it, or take it back, before the next."))
        shut = Closure(
            covers=Closure.Covers.OUTDOORS,
            starts_at=what.comes_at,
            ends_at=what.closed_until,
            reason=_("storm: {name}").format(name=what.name)[:200],
            state=Closure.State.ACCEPTED,
            made_by=by,
            made_at=now,
            decided_by=by,
            decided_at=now,
        )
        scribe = Scribe(by, now, timezone.localtime(now).date())
        event = write_event(Written(Event.Kind.STORM, _("storm: {name}").format(name=what.name), made=(shut,)), scribe)
        storm = Storm.objects.create(
            event=event,
            name=what.name[:80],
            comes_at=what.comes_at,
            night_tides=what.night_tides,
            hauls_per_tide=what.hauls_per_tide,
            made_by=by,
            made_at=now,
        )
        order_hauls(storm, StormLine.objects.bulk_create(_lines(storm, yard, now)), _pen(storm, by, now))
    return storm


def order_again(storm: Storm, *, by: User | None, now: datetime) -> None:
    """Give the boats that are not done yet the tides that are left; what is done, or ordered as work, stays so."""
    yard = YardSettings.objects.get(pk=1)
    with transaction.atomic():
        bump_facts()
        done = set(storm.lines.filter(done_at__isnull=False).values_list("boat_id", flat=True))
        ordered = dict(storm.lines.filter(order__isnull=False).values_list("boat_id", "order_id"))
        storm.lines.filter(done_at=None).delete()
        rows = [row for row in _lines(storm, yard, now) if row.boat_id not in done]
        for number, row in enumerate(rows, start=1 + len(done)):
            row.sequence, row.order_id = number, ordered.get(row.boat_id)
        order_hauls(storm, StormLine.objects.bulk_create(rows), _pen(storm, by, now))


def end_storm(storm: Storm, *, by: User | None, now: datetime) -> None:
    """It is over: the list stays on file, and what was not hauled is withdrawn."""
    with transaction.atomic():
        if Storm.objects.filter(pk=storm.pk, ended_at=None).update(ended_at=now) == 1:
            withdraw_hauls(storm, _("{storm} is over").format(storm=storm.name), by=by, now=now)


def take_back_storm(storm: Storm, *, by: User, now: datetime) -> None:
    """It was a mistake: the hours that it shut are open again, and nobody is hauled for it.  Raises EventRefused."""
    with transaction.atomic():
        take_back(storm.event, by=by, now=now)
        withdraw_hauls(storm, _("{storm} was taken back").format(storm=storm.name), by=by, now=now)


def _pen(storm: Storm, by: User | None, now: datetime) -> Pen:
    return Pen(by, now, timezone.localtime(now).date(), _("storm: {name}").format(name=storm.name))


def _lines(storm: Storm, yard: YardSettings, now: datetime) -> list[StormLine]:
    """Boats to haul by their tide, then the others by what is to be done; each with the reason where none is left."""
    lying = [row for row in where_boats_are().values() if row.kind in AFLOAT]
    tides, trouble = _tides_left(storm, yard, now)
    floats = _floats(yard, lying, tides) if tides else {}
    wanted = [row for row in lying if row.boat.in_a_storm == Todo.HAUL]
    given = haul_order(
        [
            Afloat(row.boat_id, _exposed(row), row.boat.draft_m or 0.0, frozenset(floats.get(row.boat_id, ())))
            for row in wanted
        ],
        len(tides),
        storm.hauls_per_tide,
    )
    rows = [
        StormLine(
            storm=storm,
            boat=row.boat,
            sequence=0,
            todo=row.boat.in_a_storm,
            tide_at=tides[given[row.boat_id]] if row.boat_id in given else None,
            lies=str(row.mooring or row.place or "")[:80],
            why_not=_why_not(row, floats, trouble) if row.boat_id not in given and row in wanted else "",
        )
        for row in lying
    ]
    far = storm.comes_at + timedelta(days=365)
    exposed = {row.boat_id: _exposed(row) for row in lying}
    rows.sort(key=lambda one: (ORDER[Todo(one.todo)], one.tide_at or far, exposed[one.boat_id], one.boat.name))
    for number, one in enumerate(rows, start=1):
        one.sequence = number
    return rows


def _exposed(row: Whereabouts) -> int:
    """A mooring lies open, a berth less so (common practice)."""
    return 0 if row.kind == Whereabouts.Kind.MOORING else 1


def _why_not(row: Whereabouts, floats: dict[int, list[int]], trouble: str) -> str:
    if trouble:
        return trouble
    if row.boat.draft_m is None:
        return _("her draft is unknown")
    if not floats.get(row.boat_id):
        return _("no tide that is left floats her onto the trailer: strip and double the pendants")
    return _("the tides that are left are full: strip and double the pendants")


def _tides_left(storm: Storm, yard: YardSettings, now: datetime) -> tuple[list[datetime], str]:
    """High waters at the ramp from now until the storm, in light or any, outside closed hours; why none is known."""
    if not yard.tide_station:
        return [], _("no tide station is chosen, so the tides are not known")
    try:
        highs = [one.at for one in tide_at(yard, "ramp").events(now, storm.comes_at) if one.kind == "high"]
    except TideError as error:
        return [], _("the tides are not known: {error}").format(error=error)[:200]
    shut = _shut_hours(now, storm.comes_at)
    found = [at for at in highs if storm.night_tides or _in_light(at, yard)]
    open_hours = [at for at in found if not any(starts <= at < ends for starts, ends in shut)]
    if found and not open_hours:
        return [], _("the tides that are left fall into hours that are closed")
    if found:
        return open_hours, ""
    if storm.night_tides:
        return open_hours, _("no tide is left before it comes")
    return open_hours, _("no tide is left before it comes in light")


def _shut_hours(now: datetime, until: datetime) -> list[tuple[datetime, datetime]]:
    """Accepted closures of all outdoor work or of the water; one of a single place is the planner's business."""
    rows = Closure.objects.filter(state=Closure.State.ACCEPTED, place=None, starts_at__lt=until, ends_at__gt=now)
    return list(rows.filter(covers__in=SHUTS_HAULING).values_list("starts_at", "ends_at"))


def _in_light(at: datetime, yard: YardSettings) -> bool:
    """Whether it is working light then; where the yard's place is not known, light is not judged."""
    if yard.latitude is None or yard.longitude is None:
        return True
    day = timezone.localtime(at).date()
    margin = -yard.light_margin_min
    rule = LightRule(civil=yard.light_rule == YardSettings.Light.CIVIL, after_start_min=margin, before_end_min=margin)
    works = working_light(daylight(yard.latitude, yard.longitude, day, yard.time_zone), rule)
    return works is not None and works.starts_at <= at < works.ends_at


def _floats(yard: YardSettings, lying: Iterable[Whereabouts], tides: Sequence[datetime]) -> dict[int, list[int]]:
    """By boat: the tides that give her the ramp's water for long enough."""
    floated = {
        row.boat_id: row.observed_m_above_datum
        for row in GaugeReading.objects.filter(boat__isnull=False).order_by("at", "id")
    }
    spare = [_longest_spare(tide_at(yard, "ramp"), at, yard) for at in tides]
    found: dict[int, list[int]] = {}
    for row in lying:
        try:
            level = level_for("ramp", row.boat, None, yard, floated_at_m=floated.get(row.boat_id))
        except WaterUnknown:
            continue
        assert level is not None
        base = level.rising_m - yard.margin_rising_m
        found[row.boat_id] = [index for index, most in enumerate(spare) if most >= base]
    return found


def _longest_spare(tide: TideSource, high_at: datetime, yard: YardSettings) -> float:
    """The greatest height, less its margin, that holds for `HAUL_MIN` minutes in a row around a high water, metres."""
    minutes = (np.arange(-BESIDE_MIN, BESIDE_MIN + 1) * 60.0 + high_at.timestamp()).astype(np.float64)
    heights = tide.heights_m(minutes)
    spare = heights - np.where(np.gradient(heights) >= 0, yard.margin_rising_m, yard.margin_falling_m)
    runs = np.lib.stride_tricks.sliding_window_view(spare, HAUL_MIN + 1)
    return float(runs.min(axis=1).max())
