"""Open orders as a list."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypedDict

import django_tables2 as tables
from django.db.models import F
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Fact, Job, Order
from yard.pictures.lettering import weekday_day_month
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
    return weekday_day_month(day)


class OrderTable(YardTable):
    """One row an open order. The owner's column stands only for those who may see owners."""

    caption = gettext_lazy("Open orders")
    caption_hidden = True
    row_heading = "ref"
    optional = ("name", "owner", "date_to_keep", "ends_at", "stands", "waits")

    ref = tables.Column(gettext_lazy("Order"), order_by=("made_at", "id"))
    boat = tables.Column(
        gettext_lazy("Boat"), empty_values=(), order_by=("boat__name", "walk_in_name"), attrs={"td": {"class": "state"}}
    )
    name = tables.Column(gettext_lazy("Package"), attrs={"td": {"class": "whole"}})
    owner = tables.Column(gettext_lazy("Owner"), empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    date_to_keep = tables.Column(gettext_lazy("To keep"), default=gettext_lazy("no date"))
    ends_at = tables.Column(gettext_lazy("Planned to end"), empty_values=())
    stands = tables.Column(gettext_lazy("Jobs done"), empty_values=(), orderable=False, attrs=NUMBER_NOT_ON_A_PHONE)
    waits = tables.Column(gettext_lazy("Waits on"), empty_values=(), orderable=False, attrs={"td": {"class": "whole"}})

    class Meta:
        attrs = {"class": "list cards brief"}
        empty_text = gettext_lazy("No open order of this kind.")

    def __init__(self, rows: Any, *, sees_owners: bool, **kwargs: Any) -> None:
        super().__init__(rows, exclude=() if sees_owners else ("owner",), **kwargs)

    def render_ref(self, record: Order) -> str:
        return format_html('<a href="{}">{}</a>', reverse("order", args=[record.pk]), record.ref)

    def render_boat(self, record: Order) -> str:
        if record.boat is None:
            return _("a walk-in, bag {tag}").format(tag=record.bag_tag) if record.bag_tag else _("a walk-in")
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
        return timezone.localtime(at).date().isoformat() if at is not None else _("not planned")

    def render_owner(self, record: Order) -> str:
        if record.boat is None:
            return format_html("{} {}", record.walk_in_name, phone_links(record.walk_in_phone))
        return ", ".join(each.owner.name for each in record.boat.ownerships.all()) or _("not entered")

    def render_date_to_keep(self, value: date, record: Order) -> str:
        kind = _("promised") if record.promised_date else _("latest") if record.latest_date else _("wanted")
        return f"{_day(value)}, {kind}"

    def render_ends_at(self, value: datetime | None, record: WithAnnotations[Order, Annotated]) -> str:
        if is_finished(record):
            at = _done_at(record)
            done = _day(timezone.localtime(at).date()) if at is not None else ""
            return format_html("<b>{}</b> {}", _("done"), done)
        if value is None:
            return _("not planned")
        ends = timezone.localtime(value).date()
        due = record.date_to_keep
        late = (ends - due).days if due else 0
        if late > 0:
            return format_html('{} <span class="late">{}</span>', _day(ends), _("{n} d late").format(n=late))
        return _day(ends)

    def render_stands(self, record: Order) -> str:
        jobs = record.jobs.all()
        if is_finished(record):
            return _("all {n}").format(n=len(jobs))
        done = sum(1 for job in jobs if job.state == Job.State.DONE)
        return _("{done} of {all}").format(done=done, all=len(jobs))

    def render_waits(self, record: Order) -> str:
        facts = {fact.pk: fact for job in record.jobs.all() for fact in job.facts.all()}
        away = [fact for fact in facts.values() if fact.state != Fact.State.HERE]
        return ", ".join(fact_words(fact) for fact in away) or _("nothing")

    def order_date_to_keep(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        day = F("date_to_keep")
        return rows.order_by(day.desc(nulls_last=True) if is_descending else day.asc(nulls_last=True), "id"), True
