"""One order as its page shows it: jobs with hours and waits, options, what was changed and by whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from yard.models import Fact, Job, JobWay, Order, PlannedJob, Skill, Telling, YardSettings
from yard.pictures.lettering import day_month
from yard.pictures.package_network import PackageNetworkPicture
from yard.queries.finished import LEFT
from yard.queries.orders import OrderWhole, order_whole
from yard.services.product_limits import sheets_by_job
from yard.web.boats.words import date_words
from yard.web.history import Change, changes_of
from yard.web.orders.form import DatesForm
from yard.web.orders.network import network_of_order
from yard.web.orders.preview import OptionLine, preview
from yard.web.orders.words import between_words, crew_words, hours_words, need_words, place_words, wait_words
from yard.web.products.words import sheets_words
from yard.web.units import local


@dataclass(frozen=True)
class WayRow:
    """One way of doing a job; its hours can be changed for her alone unless they are made of parts."""

    way: JobWay
    hours: str
    typed: str
    crew: str
    can_change: bool


@dataclass(frozen=True)
class JobRow:
    """One job of an order. ways: the usual one first; the planner picks one. products: put on in it, with limits."""

    job: Job
    ways: tuple[WayRow, ...]
    places: str
    needs: str
    products: str
    after: tuple[str, ...]
    facts: tuple[str, ...]
    planned_at: datetime | None
    people: str


@dataclass(frozen=True)
class OrderPage:
    """jobs: those that stand; gone: those that an option off, or a person, took out.

    done_on: when the last of its work was done, "" while any is left; told: whether its owner was told so.
    """

    order: Order
    jobs: tuple[JobRow, ...]
    gone: tuple[Job, ...]
    network: PackageNetworkPicture
    longest: str
    options: tuple[OptionLine, ...]
    changes: tuple[Change, ...]
    hours: str
    unplanned: int
    done_on: str = ""
    told: bool = False


def order_page(order: Order, yard: YardSettings) -> OrderPage:
    """About fifteen queries, however many jobs."""
    whole = order_whole(order)
    skills = dict(Skill.objects.values_list("key", "name"))
    sheets = sheets_by_job(whole.links, {job.pk: job.kind_id for job in whole.jobs})
    rows = [
        _row(job, whole, skills, sheets_words(sheets.get(job.pk, ()), yard))
        for job in whole.jobs
        if job.state != Job.State.CANCELLED
    ]
    network = network_of_order(whole)
    package = order.package
    options = preview(package, order.boat, frozenset(order.options), skills).options if package else ()
    return OrderPage(
        order=order,
        jobs=tuple(rows),
        gone=tuple(job for job in whole.jobs if job.state == Job.State.CANCELLED),
        network=network,
        longest=wait_words(network.path.length_min),
        options=options,
        changes=changes_of(order),
        hours=hours_words(sum(_person_minutes(row.ways[0].way) for row in rows if row.ways)),
        done_on=_done_on(whole.jobs),
        told=order.tellings.filter(state=Telling.State.DONE, taken_back_at=None).exists(),
        unplanned=sum(1 for row in rows if row.planned_at is None and row.job.state != Job.State.DONE),
    )


def _done_on(jobs: Sequence[Job]) -> str:
    states = [job.state for job in jobs]
    if Job.State.DONE not in states or any(state in LEFT for state in states):
        return ""
    ended = [job.actual_ends_at for job in jobs if job.actual_ends_at is not None]
    return date_words(local(max(ended)).date()) if ended else _("a day that nobody noted")


def dates_form(order: Order, data: Any, today: Any) -> DatesForm:
    initial = {
        "earliest": order.earliest_date,
        "wanted": order.wanted_date,
        "latest": order.latest_date,
        "promised": order.promised_date,
        "goes_first": str(order.goes_first),
    }
    return DatesForm(data, today=today, initial=initial)


def _row(job: Job, whole: OrderWhole, skills: dict[str, str], products: str) -> JobRow:
    ways = list(job.ways.all())
    way = ways[0] if ways else None
    planned = whole.planned.get(job.pk)
    return JobRow(
        job=job,
        ways=tuple(_way(job, each, skills) for each in ways),
        places=place_words(way.place_kinds) if way else "",
        needs=need_words(water=job.water_need, weather=job.weather_class, light=job.needs_light),
        products=products,
        after=tuple(_after(job, whole)),
        facts=tuple(fact_words(fact) for fact in job.facts.all() if fact.state != Fact.State.HERE),
        planned_at=planned.starts_at if planned else None,
        people=_people(planned),
    )


def _way(job: Job, way: JobWay, skills: dict[str, str]) -> WayRow:
    going = job.state in (Job.State.OPEN, Job.State.STARTED, Job.State.FAILED)
    return WayRow(
        way=way,
        hours=hours_words(way.duration_min),
        typed=f"{way.duration_min / 60:g}",
        crew=crew_words(way.crew, skills),
        can_change=going and not (way.parts or job.kind.parts),
    )


def _after(job: Job, whole: OrderWhole) -> list[str]:
    found = []
    for link in whole.links:
        if link.after_id != job.pk or link.before.state == Job.State.CANCELLED:
            continue
        between = between_words(link.min_wait_min, link.max_wait_min)
        before = link.before.name
        if link.before.order_id != job.order_id:
            before = _("{job} of {order}").format(job=before, order=link.before.order.ref)
        found.append(f"{before}, {between}" if between else before)
    return found


def fact_words(fact: Fact) -> str:
    """cloth by 4 May (guess); draft unknown."""
    if fact.state == Fact.State.EXPECTED and fact.expected_date is not None:
        said = _("{fact} by {day} (guess)") if fact.guess else _("{fact} by {day}")
        return said.format(fact=fact.name, day=day_month(fact.expected_date))
    return f"{fact.name} {fact.get_state_display()}"


def _people(planned: PlannedJob | None) -> str:
    return ", ".join(person.name for person in planned.planned_people.all()) if planned else ""


def _person_minutes(way: JobWay) -> int:
    people: int = sum(line["count"] for line in way.crew)
    return way.duration_min * people
