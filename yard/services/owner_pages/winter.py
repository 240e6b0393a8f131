"""Winter's question: last year's orders, the same again? Silence leaves them as last year, unconfirmed."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q
from django.utils.translation import gettext as _

from yard.models import Boat, Letter, Order, Owner, SameAgain, Season, YardSettings
from yard.queries.clock import yard_clock
from yard.queries.owner_pages import owned_by
from yard.services.change_order import Sender, set_dates, withdraw
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderDates, OrderRefused, Terms, order_package
from yard.services.pen import sign

A_YEAR = timedelta(weeks=52)
"""The same weekday of the year after, so that a Saturday stays a Saturday."""
OPEN_STATES = (SameAgain.State.LISTED, SameAgain.State.ASKED)


def season_before(season: Season) -> Season | None:
    """The season of the same part of the year before. One query."""
    return next((row for row in Season.objects.order_by("-starts_on") if _follows(row, season)), None)


def _follows(one: Season, other: Season) -> bool:
    """The other begins a year after the one, give or take two months."""
    return abs((other.starts_on - one.starts_on).days - 365) < 60


def without_successor(*, today: date) -> list[Season]:
    """Seasons begun in the last year and a half that have none a year later yet, the latest first. One query."""
    rows = list(Season.objects.order_by("-starts_on"))
    begun = [row for row in rows if today - timedelta(days=550) < row.starts_on <= today]
    return [row for row in begun if not any(_follows(row, other) for other in rows)]


def successor_of(season: Season) -> Season | None:
    """The season a year later. One query."""
    return next((row for row in Season.objects.order_by("starts_on") if _follows(season, row)), None)


@transaction.atomic
def open_next(season: Season) -> Season:
    """The season a year later, made if there is none, with the same days of the week."""
    if (there := successor_of(season)) is not None:
        return there
    year = str(season.starts_on.year)
    name = (
        season.name.replace(year, str(season.starts_on.year + 1))
        if year in season.name
        else _("{season}, next").format(season=season.name)
    )
    return Season.objects.create(name=name[:60], starts_on=season.starts_on + A_YEAR, ends_on=season.ends_on + A_YEAR)


def last_year_s(season: Season) -> list[Order]:
    """Orders of the season before, of boats in the yard's care, of a package that is still offered. Three queries."""
    before = season_before(season)
    if before is None:
        return []
    of_it = Q(season=before) | Q(season=None, made_at__date__gte=before.starts_on, made_at__date__lt=before.ends_on)
    rows = Order.objects.filter(of_it, boat__archived=False, package__archived=False)
    rows = rows.exclude(state=Order.State.CANCELLED).exclude(asked_again__season=season)
    return list(rows.select_related("boat", "package").order_by("boat__name", "made_at", "id"))


def list_again(season: Season, *, by: User | None, now: datetime) -> int:
    """Put last year's orders on the list, each with a copy in the coming season, unconfirmed. Gives how many are new.

    Each order is a transaction of its own: two hundred of them take a minute, and others write meanwhile. One that
    cannot be copied any more, as one whose option is gone, is left out. Done twice, or after a stop, it is done once.
    """
    count = 0
    for order in last_year_s(season):
        try:
            with transaction.atomic():
                bump_facts()  # one writer at a time from here, so that two workers do not list it twice
                if SameAgain.objects.filter(order=order, season=season).exists():
                    continue
                list_one(order, season, by=by, now=now)
        except (OrderRefused, ValidationError):
            continue
        count += 1
    return count


def list_one(order: Order, season: Season, *, by: User | None, now: datetime) -> Order:
    """Its copy in the coming season, unconfirmed, and on the list. Raises OrderRefused and ValidationError."""
    copy = _copy(order, season, by, now)
    SameAgain.objects.create(order=order, season=season, copy=copy)
    return copy


def list_in_worker(season_id: int, user_id: int, *, real_now: datetime) -> int:
    """What the worker does when somebody asked for the list. Nothing where the season is closed or gone."""
    season = Season.objects.filter(pk=season_id, closed_at=None).first()
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
    by = User.objects.filter(pk=user_id).first()
    return 0 if season is None else list_again(season, by=by, now=yard_clock(yard, real_now=real_now))


def _copy(order: Order, season: Season, by: User | None, now: datetime) -> Order:
    assert order.package is not None
    wanted, latest = _next_year(order.wanted_date or order.promised_date), _next_year(order.latest_date)
    earliest: date | None = _next_year(order.earliest_date) or season.starts_on  # else it would be planned this winter
    if any(day is not None and earliest is not None and day < earliest for day in (wanted, latest)):
        earliest = None
    dates = OrderDates(earliest=earliest, wanted=wanted, latest=latest)
    terms = Terms(
        season=season,
        goes_first=order.goes_first,
        covers_gate_delivery=order.covers_gate_delivery,
        to_mooring=order.to_mooring,
    )
    copy = order_package(order.boat, order.package, options=order.options, dates=dates, by=by, now=now, terms=terms)
    copy.unconfirmed, copy.copied_from = True, order
    sign(copy, by=by, now=now, reason=_("as last year, unconfirmed"))
    copy.save()
    return copy


def _next_year(day: date | None) -> date | None:
    return None if day is None else day + A_YEAR


def asked_by(letter: Letter, *, now: datetime) -> int:
    """The owner's listed orders were asked about, once more or for the first time. Gives how many."""
    mine = rows_of(letter.owner, letter.season)
    rows = SameAgain.objects.filter(pk__in=mine, state__in=OPEN_STATES)
    rows.filter(asked_at=None).update(asked_at=now)
    return rows.update(state=SameAgain.State.ASKED, asked_last_at=now, times_asked=F("times_asked") + 1)


def rows_of(owner: Owner, season: Season | None) -> list[int]:
    """Ids of a season's questions about boats of which this owner is told first."""
    asked = SameAgain.objects.filter(season=season, order__boat__ownerships__owner=owner)
    rows = list(asked.values_list("pk", "order__boat"))
    owned = owned_by({boat for _, boat in rows if boat is not None})
    return [pk for pk, boat in rows if boat in owned and owned[boat].owner_id == owner.pk]


@transaction.atomic
def asked_by_word(owner: Owner, season: Season, *, by: User, now: datetime) -> int:
    """The owner was asked on the telephone. Gives how many orders that was about."""
    letter = Letter(owner=owner, season=season)
    return asked_by(letter, now=now)


@transaction.atomic
def answer_same_again(asked: SameAgain, state: SameAgain.State, *, wanted: date | None, by: User, now: datetime) -> str:
    """Write the owner's answer; gives in words what became of the copy."""
    row = SameAgain.objects.select_for_update(of=("self",)).select_related("copy", "order__boat").get(pk=asked.pk)
    row.state, row.answered_at = state, now
    row.save()
    copy, boat = row.copy, row.order.boat
    name = boat.name if isinstance(boat, Boat) else row.order.name
    if copy is None or copy.state != Order.State.OPEN:
        return _("{name}: it is noted. There is no open order of the coming season: take one.").format(name=name)
    if state == SameAgain.State.NOT:
        withdraw(copy, reason=_("not this year, says the owner"), sender=Sender(by, now, copy.version))
        return _("{name}: order {ref} is withdrawn.").format(name=name, ref=copy.ref)
    if wanted is not None:
        dates = OrderDates(
            earliest=copy.earliest_date if copy.earliest_date is None or copy.earliest_date <= wanted else None,
            wanted=wanted,
            latest=copy.latest_date if copy.latest_date is None or copy.latest_date >= wanted else None,
            promised=copy.promised_date,
        )
        copy = set_dates(copy, dates, goes_first=copy.goes_first, sender=Sender(by, now, copy.version))
    if state == SameAgain.State.SAME:
        copy.unconfirmed = False
        sign(copy, by=by, now=now, reason=_("confirmed by the owner"))
        copy.save()
        return _("{name}: order {ref} is confirmed.").format(name=name, ref=copy.ref)
    return _("{name}: order {ref} stays unconfirmed: change it to what the owner wants.").format(
        name=name, ref=copy.ref
    )
