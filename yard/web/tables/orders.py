"""Open orders as a list."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypedDict

import django_tables2 as tables
from django.db.models import F
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html

from yard.models import Fact, Job, Order
from yard.queries.finished import is_finished
from yard.web.orders.whole import fact_words
from yard.web.tables.yard_table import YardTable, boat_words, phone_links

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

NUMBER_NOT_ON_A_PHONE = {"th": {"class": "num"}, "td": {"class": "num second"}}
NOT_ON_A_PHONE = {"td": {"class": "second"}}


class Annotated(TypedDict):
    """What open_orders says of an order beside its own fields."""

    date_to_keep: date | None


def _done_at(order: Order) -> datetime | None:
    return max((job.actual_ends_at for job in order.jobs.all() if job.actual_ends_at is not None), default=None)


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


class OrderTable(YardTable):
    """One row an open order. The owner's column stands only for those who may see owners."""

    caption = "Open orders"
    caption_hidden = True
    row_heading = "ref"
    optional = ("name", "owner", "date_to_keep", "ends_at", "stands", "waits")

    ref = tables.Column("Order", order_by=("made_at", "id"))
    boat = tables.Column(
        "Boat", empty_values=(), order_by=("boat__name", "walk_in_name"), attrs={"td": {"class": "state"}}
    )
    name = tables.Column("Package", attrs={"td": {"class": "whole"}})
    owner = tables.Column("Owner", empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    date_to_keep = tables.Column("To keep", default="no date")
    ends_at = tables.Column("Planned to end", empty_values=())
    stands = tables.Column("Jobs done", empty_values=(), orderable=False, attrs=NUMBER_NOT_ON_A_PHONE)
    waits = tables.Column("Waits on", empty_values=(), orderable=False, attrs={"td": {"class": "whole"}})

    class Meta:
        attrs = {"class": "list cards brief"}
        empty_text = "No open order of this kind."

    def __init__(self, rows: Any, *, sees_owners: bool, **kwargs: Any) -> None:
        super().__init__(rows, exclude=() if sees_owners else ("owner",), **kwargs)

    def render_ref(self, record: Order) -> str:
        return format_html('<a href="{}">{}</a>', reverse("order", args=[record.pk]), record.ref)

    def render_boat(self, record: Order) -> str:
        if record.boat is None:
            return f"a walk-in{f', bag {record.bag_tag}' if record.bag_tag else ''}"
        try:
            return boat_words(record.boat.name, reverse("boat", args=[record.boat.pk]))
        except NoReverseMatch:
            return boat_words(record.boat.name)

    def value_ref(self, record: Order) -> str:
        return record.ref

    def value_boat(self, record: Order) -> str:
        return record.boat.name if record.boat else self.render_boat(record)

    def value_ends_at(self, value: datetime | None, record: Order) -> str:
        at = _done_at(record) if is_finished(record) else value
        return timezone.localtime(at).date().isoformat() if at is not None else "not planned"

    def render_owner(self, record: Order) -> str:
        if record.boat is None:
            return format_html("{} {}", record.walk_in_name, phone_links(record.walk_in_phone))
        return ", ".join(each.owner.name for each in record.boat.ownerships.all()) or "not entered"

    def render_date_to_keep(self, value: date, record: Order) -> str:
        kind = "promised" if record.promised_date else "latest" if record.latest_date else "wanted"
        return f"{_day(value)}, {kind}"

    def render_ends_at(self, value: datetime | None, record: WithAnnotations[Order, Annotated]) -> str:
        if is_finished(record):
            at = _done_at(record)
            return format_html("<b>done</b> {}", _day(timezone.localtime(at).date()) if at is not None else "")
        if value is None:
            return "not planned"
        ends = timezone.localtime(value).date()
        due = record.date_to_keep
        late = (ends - due).days if due else 0
        if late > 0:
            return format_html('{} <span class="late">{} d late</span>', _day(ends), late)
        return _day(ends)

    def render_stands(self, record: Order) -> str:
        jobs = record.jobs.all()
        if is_finished(record):
            return f"all {len(jobs)}"
        return f"{sum(1 for job in jobs if job.state == Job.State.DONE)} of {len(jobs)}"

    def render_waits(self, record: Order) -> str:
        facts = {fact.pk: fact for job in record.jobs.all() for fact in job.facts.all()}
        away = [fact for fact in facts.values() if fact.state != Fact.State.HERE]
        return ", ".join(fact_words(fact) for fact in away) or "nothing"

    def order_date_to_keep(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        day = F("date_to_keep")
        return rows.order_by(day.desc(nulls_last=True) if is_descending else day.asc(nulls_last=True), "id"), True
