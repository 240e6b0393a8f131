"""What a season came to, so that one can be laid beside another: by the day of the work, and by the order's season."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import F, Max, Sum

from yard.models import Closure, ExtraWork, Job, JobWork, Order, Season, Whereabouts, YardSettings

IN_STORE = (Whereabouts.Kind.STORE_ROW, Whereabouts.Kind.SHED)


@dataclass(frozen=True, slots=True)
class SeasonFigures:
    """boats, orders: with an order of the season that was not withdrawn. done, promised, late: of its orders; late
    after the promised date. days_late: of all of them together, calendar days. hours: worked on its days, of one
    person each, by trade and by kind of job. extra_moves: boats moved within the store, beyond one place each.
    lost_days: closed for weather, agreed by a person. agreed_extras: said yes to, and their hours.
    """

    season: Season
    boats: int = 0
    orders: int = 0
    done: int = 0
    promised: int = 0
    late: int = 0
    days_late: int = 0
    extra_moves: int = 0
    lost_days: int = 0
    agreed_extras: int = 0
    extras_h: float = 0.0
    by_trade: Mapping[str, float] = field(default_factory=dict)
    by_kind: Mapping[str, float] = field(default_factory=dict)

    @property
    def hours(self) -> float:
        return sum(self.by_trade.values())


def season_figures(seasons: Sequence[Season], yard: YardSettings) -> list[SeasonFigures]:
    """In the order given. Seven queries, however many seasons."""
    zone = ZoneInfo(yard.time_zone)
    orders, done = _orders(seasons), _done_on(seasons, zone)
    work, lost, moves, extras = _work(seasons), _lost_days(seasons, zone), _moves(seasons, zone), _extras(seasons)
    found = []
    for season in seasons:
        mine = orders.get(season.pk, [])
        late = _late_days(mine, done)
        trades: dict[str, float] = defaultdict(float)
        kinds: dict[str, float] = defaultdict(float)
        for day, trade, kind, minutes in work:
            if season.holds(day):
                trades[trade] += minutes / 60
                kinds[kind] += minutes / 60
        said = [minutes for day, minutes in extras if season.holds(day)]
        found.append(
            SeasonFigures(
                season=season,
                boats=len({boat for _, boat, _ in mine if boat is not None}),
                orders=len(mine),
                done=sum(pk in done for pk, _, _ in mine),
                promised=sum(promised is not None and pk in done for pk, _, promised in mine),
                late=sum(days > 0 for days in late),
                days_late=sum(days for days in late if days > 0),
                extra_moves=_extra_moves(season, moves),
                lost_days=sum(season.holds(day) for day in lost),
                agreed_extras=len(said),
                extras_h=sum(said) / 60,
                by_trade=dict(trades),
                by_kind=dict(kinds),
            )
        )
    return found


_Asked = tuple[int, int | None, date | None]
"""An order: its id, its boat's, the promised date."""


def _orders(seasons: Sequence[Season]) -> dict[int, list[_Asked]]:
    rows = Order.objects.filter(season__in=seasons).exclude(state=Order.State.CANCELLED)
    found: dict[int, list[_Asked]] = defaultdict(list)
    for season, pk, boat, promised in rows.values_list("season", "pk", "boat", "promised_date"):
        if season is not None:
            found[season].append((pk, boat, promised))
    return found


def _done_on(seasons: Sequence[Season], zone: ZoneInfo) -> dict[int, date]:
    """The day on which each finished order's last job ended."""
    rows = Job.objects.filter(order__season__in=seasons, order__state=Order.State.DONE, state=Job.State.DONE)
    ends = rows.values_list("order").annotate(last=Max("actual_ends_at"))
    return {order: last.astimezone(zone).date() for order, last in ends if last is not None}


def _late_days(orders: Sequence[_Asked], done: Mapping[int, date]) -> list[int]:
    return [(done[pk] - promised).days for pk, _, promised in orders if promised is not None and pk in done]


def _work(seasons: Sequence[Season]) -> list[tuple[date, str, str, int]]:
    rows = JobWork.objects.filter(worked_on__gte=_first(seasons), worked_on__lt=_last(seasons), worked_min__gt=0)
    grouped = rows.values_list("worked_on", "job__kind__trade", "job__kind__name").annotate(all=Sum("worked_min"))
    return [(day, trade, kind, int(minutes)) for day, trade, kind, minutes in grouped.order_by("worked_on")]


def _lost_days(seasons: Sequence[Season], zone: ZoneInfo) -> set[date]:
    """As the page of honesty counts them: outdoors or the water closed, whole or in part, and agreed."""
    since, until = (datetime.combine(day, time(), zone).astimezone(UTC) for day in (_first(seasons), _last(seasons)))
    rows = Closure.objects.filter(state=Closure.State.ACCEPTED, starts_at__lt=until, ends_at__gt=since)
    days: set[date] = set()
    for row in rows.exclude(covers=Closure.Covers.PLACE):
        day, last = row.starts_at.astimezone(zone).date(), (row.ends_at - timedelta(seconds=1)).astimezone(zone).date()
        days |= {day + timedelta(days=step) for step in range((last - day).days + 1)}
    return days


def _moves(seasons: Sequence[Season], zone: ZoneInfo) -> list[tuple[int, date]]:
    """Each boat's arrivals at a place of the store, with the day."""
    since, until = (datetime.combine(day, time(), zone).astimezone(UTC) for day in (_first(seasons), _last(seasons)))
    rows = Whereabouts.objects.filter(kind__in=IN_STORE, since__gte=since, since__lt=until)
    return [(boat, at.astimezone(zone).date()) for boat, at in rows.order_by("since").values_list("boat", "since")]


def _extra_moves(season: Season, moves: Sequence[tuple[int, date]]) -> int:
    """Every arrival in the store after a boat's first one of the season was a move more than she needed."""
    boats = [boat for boat, day in moves if season.holds(day)]
    return len(boats) - len(set(boats))


def _extras(seasons: Sequence[Season]) -> list[tuple[date, int]]:
    rows = ExtraWork.objects.filter(done_on__gte=_first(seasons), done_on__lt=_last(seasons))
    agreed = rows.exclude(agreed=ExtraWork.Agreed.NOT_ASKED)
    return list(agreed.order_by(F("done_on"), "id").values_list("done_on", "extra_min"))


def _first(seasons: Sequence[Season]) -> date:
    return min((season.starts_on for season in seasons), default=date.min)


def _last(seasons: Sequence[Season]) -> date:
    return max((season.ends_on for season in seasons), default=date.min)
