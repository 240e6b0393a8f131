"""Ordering a package: its jobs, ways, links, facts and stays are copied to an order, in one transaction.

All open orders of a boat are one network: a job that waits for open jobs of a kind is linked to those of the
boat's other orders, in both directions.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    Job,
    JobKind,
    JobLink,
    JobWay,
    Light,
    Mooring,
    Order,
    Package,
    PackageJob,
    PackageLink,
    PackageStay,
    Season,
    Stay,
    YardSettings,
    closed_season_of,
    closed_words,
)
from yard.queries.seasons import season_for
from yard.services.facts_revision import bump_facts
from yard.services.link_orders import link_orders
from yard.services.order_facts import copy_facts
from yard.services.package_editions import latest_edition
from yard.services.package_files import Job as JobValue
from yard.services.pen import Pen
from yard.services.stowing.freeze import day_when_ordered


class OrderRefused(Exception):
    """The package cannot be ordered so; the text says why and what to do. Nothing was saved."""


def demand_open(order: Order) -> None:
    """Raises OrderRefused where the order is done or withdrawn."""
    if words := why_closed(order):
        raise OrderRefused(words)


def why_closed(order: Order) -> str:
    """Why nothing of it is changed now, and the remedy; "" while it is open."""
    if (season := closed_season_of(order)) is not None:
        return closed_words(season)
    if order.state == Order.State.OPEN:
        return ""
    return _("Order {ref} is {state}: put it back before changing it.").format(
        ref=order.ref, state=order.get_state_display()
    )


@dataclass(frozen=True, kw_only=True)
class OrderDates:
    """The owner's dates, and the road or ferry date that does not move. Empty: the owner did not say."""

    earliest: date | None = None
    wanted: date | None = None
    latest: date | None = None
    promised: date | None = None
    fixed_delivery_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class WalkIn:
    """Somebody at the door with a sail, without a boat on file."""

    name: str
    phone: str = ""
    bag_tag: str = ""
    price_said: str = ""


@dataclass(frozen=True, kw_only=True)
class Terms:
    """What else an order says. goes_first: 1 as all, 3 before all. form_key: a form sent twice is one order."""

    season: Season | None = None
    goes_first: int = 1
    covers_gate_delivery: bool = False
    to_mooring: Mooring | None = None
    walk_in: WalkIn | None = None
    notes: str = ""
    form_key: UUID | None = None


def default_options(package: Package, boat: Boat | None) -> frozenset[str]:
    """The options that are on unless somebody says otherwise."""
    planked = boat is not None and boat.planked
    return frozenset(
        option.key for option in package.options.all() if option.on_by_default or (planked and option.on_if_planked)
    )


@transaction.atomic
def order_package(
    boat: Boat | None,
    package: Package,
    *,
    options: Collection[str],
    dates: OrderDates,
    by: User | None,
    now: datetime,
    terms: Terms = Terms(),  # frozen, so one for all calls
) -> Order:
    """Order a package for a boat, or for a walk-in (terms.walk_in) where it needs none.

    options: keys of the package's options that are on; see default_options. now: aware. A form sent twice
    (terms.form_key) gives the order that it made the first time.
    Raises OrderRefused, or ValidationError where a date or a name cannot be; nothing is saved then.
    """
    bump_facts()  # one writer at a time from here, so the same form cannot slip in between
    if terms.form_key and (same := Order.objects.filter(form_key=terms.form_key).first()):
        return same
    jobs = chosen_jobs(package, frozenset(options))
    _check(boat, package, jobs, frozenset(options), terms)
    pen = Pen(by, now, today_in_yard(now), _("ordered: {package}").format(package=package.name)[:100])
    order = order_from(boat, package, options, dates, terms, pen, next_ref(pen.today))
    order.full_clean()
    pen.write([order])
    copies = copy_jobs(order, jobs, pen)
    pen.write(links_from(order, copies))
    pen.write(stays_from(order, copies))
    copy_facts(order, copies, pen)
    if boat is not None:
        pen.write(link_orders(order, list(copies.values())))
    return order


def today_in_yard(now: datetime) -> date:
    """The yard's date. A yard without settings is read in UTC."""
    zone = YardSettings.objects.values_list("time_zone", flat=True).first() or "UTC"
    return now.astimezone(ZoneInfo(zone)).date()


def chosen_jobs(package: Package, options: frozenset[str]) -> list[PackageJob]:
    rows = package.jobs.select_related("kind", "option", "split_of").prefetch_related("ways")
    return [row for row in rows if row.option is None or row.option.key in options]


def _check(
    boat: Boat | None, package: Package, jobs: Iterable[PackageJob], options: frozenset[str], terms: Terms
) -> None:
    known = {option.key for option in package.options.all()}
    if unknown := options - known:
        raise OrderRefused(
            _("{package} has no option {options}; it has {known}.").format(
                package=package.name, options=", ".join(sorted(unknown)), known=", ".join(sorted(known)) or _("none")
            )
        )
    if package.archived:
        raise OrderRefused(_("{package} is archived: choose another package.").format(package=package.name))
    if boat is not None and boat.archived:
        raise OrderRefused(_("{boat} is archived: bring her back first.").format(boat=boat.name))
    if boat is not None:
        return
    if terms.walk_in is None or not terms.walk_in.name.strip():
        raise OrderRefused(_("Name the boat, or the person who walked in."))
    if package.needs_boat:
        raise OrderRefused(_("{package} is work on a boat: enter the boat first.").format(package=package.name))
    for job in jobs:
        if job.kind.needs_boat:
            raise OrderRefused(
                _("“{job}” is done on the boat: enter the boat first, or leave that option out.").format(job=job.name)
            )


def order_from(
    boat: Boat | None, package: Package, options: Collection[str], dates: OrderDates, terms: Terms, pen: Pen, ref: str
) -> Order:
    """The order's row, not yet saved."""
    walk_in = terms.walk_in or WalkIn(name="")
    return Order(
        ref=ref,
        boat=boat,
        package=package,
        package_edition=latest_edition(package),
        name=package.name,
        options=sorted(options),
        season=terms.season or season_for(dates.promised or dates.wanted or dates.earliest or pen.today),
        earliest_date=dates.earliest,
        wanted_date=dates.wanted,
        latest_date=dates.latest,
        promised_date=dates.promised,
        fixed_delivery_at=dates.fixed_delivery_at,
        goes_first=terms.goes_first,
        covers_gate_delivery=terms.covers_gate_delivery,
        to_mooring=terms.to_mooring,
        walk_in_name=walk_in.name,
        walk_in_phone=walk_in.phone,
        bag_tag=walk_in.bag_tag,
        price_said=walk_in.price_said,
        made_by=pen.by,
        made_at=pen.now,
        notes=terms.notes,
        form_key=terms.form_key,
    )


def next_ref(today: date) -> str:
    """The year and the next free number in it. Safe because bump_facts lets one writer in at a time."""
    prefix = f"{today:%y}-"
    taken = [
        ref.removeprefix(prefix) for ref in Order.objects.filter(ref__startswith=prefix).values_list("ref", flat=True)
    ]
    return f"{prefix}{max((int(ref) for ref in taken if ref.isdecimal()), default=0) + 1:03d}"


def copy_jobs(order: Order, rows: Sequence[PackageJob], pen: Pen) -> dict[int, Job]:
    """The order's jobs by the id of the package's job."""
    copies = {row.pk: _copy_job(order, row, pen.today) for row in rows}
    whole = [copies[row.pk] for row in rows if row.split_of_id not in copies]
    pen.write(whole)
    for row in rows:  # in the package's order, so that the part before has its id
        if row.split_of_id in copies:
            copies[row.pk].split_of = copies[row.split_of_id]
            pen.write([copies[row.pk]])
    pen.write(
        [
            JobWay(
                job=copies[row.pk],
                sequence=way.sequence,
                duration_min=way.duration_min,
                crew=way.crew,
                place_kinds=way.place_kinds,
                boat_at=way.boat_at,
                parts=way.parts,
            )
            for row in rows
            for way in row.ways.all()
        ]
    )
    return copies


def _copy_job(order: Order, row: PackageJob, today: date) -> Job:
    return Job(order=order, key=row.key, sequence=row.sequence, **job_needs(row, row.kind, order, today))


def job_needs(said: PackageJob | JobValue, kind: JobKind, order: Order, today: date) -> dict[str, Any]:
    """What an order's job gets from the package's: as it says itself, else as its kind does."""
    return {
        "kind": kind,
        "name": said.name,
        "outdoor": kind.outdoor,
        "needs_light": in_light(said, kind),
        "water_need": said.water_need or kind.water_need,
        "weather_class": said.weather_class or kind.weather_class,
        "cautions": "\n".join(text for text in (kind.cautions, said.cautions) if text),
        "waits_for_open": list(said.waits_for_open),
        "on_fixed_date": said.on_fixed_date and order.fixed_delivery_at is not None,
        "finish_by_date": day_when_ordered(
            kind.key, _next_day_of_year(said.finish_by, order.earliest_date or today), order.earliest_date or today
        ),
    }


def in_light(said: PackageJob | JobValue, kind: JobKind) -> bool:
    return kind.needs_light if said.light == Light.AS_ITS_KIND else said.light == Light.NEEDED


def _next_day_of_year(day: str, since: date) -> date | None:
    """The first such day on or after a date; none where the package names none."""
    if not day:
        return None
    this_year = date.fromisoformat(f"{since.year}-{day}")
    return this_year if this_year >= since else date.fromisoformat(f"{since.year + 1}-{day}")


def links_from(order: Order, copies: Mapping[int, Job]) -> list[JobLink]:
    """The links that the package and the order's options lay between its jobs, not yet saved."""
    assert order.package is not None
    return [
        JobLink(
            before=copies[link.before_id],
            after=copies[link.after_id],
            min_wait_min=link.min_wait_min,
            max_wait_min=link.max_wait_min,
            reason=link.reason,
            source=link.source,
            product_kind=link.product_kind,
            origin=JobLink.Origin.PACKAGE,
            covers_gate=link.only_if_covers_gate,
        )
        for link in order.package.links.select_related("option", "unless_option")
        if link.before_id in copies
        and link.after_id in copies
        and _holds(link, order)
        and (order.covers_gate_delivery or not link.only_if_covers_gate)
    ]


def stays_from(order: Order, copies: Mapping[int, Job]) -> list[Stay]:
    """The stays that the package and the order's options ask for, not yet saved."""
    assert order.package is not None
    return [
        Stay(
            order=order,
            from_job=copies[stay.from_job_id],
            until_job=copies[stay.until_job_id],
            place_kind=stay.place_kind,
            counted_by_night=stay.counted_by_night,
        )
        for stay in order.package.stays.select_related("option", "unless_option")
        if stay.from_job_id in copies and stay.until_job_id in copies and _holds(stay, order)
    ]


def _holds(row: PackageLink | PackageStay, order: Order) -> bool:
    """Whether the options chosen bring this row."""
    with_it = row.option is None or row.option.key in order.options
    return with_it and (row.unless_option is None or row.unless_option.key not in order.options)
