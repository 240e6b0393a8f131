"""Every job of a plan as a list."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import django_tables2 as tables
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import PlannedJob, WaterNeed
from yard.web.days.ramp_work import boat_address, boat_name
from yard.web.tables.yard_table import YardTable, boat_words
from yard.web.units import local

WATER_WORDS = {
    WaterNeed.RAMP: gettext_lazy("at the ramp"),
    WaterNeed.ROUTE: gettext_lazy("on the way to her mooring"),
    WaterNeed.MOORING: gettext_lazy("at her mooring"),
    WaterNeed.BELOW_MAXIMUM: gettext_lazy("no higher than a bridge lets her"),
}


class JobTable(YardTable):
    """Boat, job, from, to, people, place, water."""

    caption = gettext_lazy("Every job of the plan")
    row_heading = "boat"

    boat = tables.Column(
        gettext_lazy("Boat"),
        accessor="job__order",
        order_by=("job__order__boat__name", "job__order__walk_in_name", "starts_at"),
    )
    job = tables.Column(gettext_lazy("Job"), accessor="job__name", order_by=("job__name", "starts_at"))
    starts_at = tables.Column(gettext_lazy("From"), order_by=("starts_at", "id"))
    ends_at = tables.Column(gettext_lazy("To"), order_by=("ends_at", "id"))
    people = tables.Column(gettext_lazy("People"), accessor="planned_people", orderable=False)
    places = tables.Column(gettext_lazy("Place"), accessor="planned_places", orderable=False)
    water = tables.Column(gettext_lazy("Water"), accessor="floats_at", empty_values=(), orderable=False)

    class Meta:
        order_by = "starts_at"
        empty_text = gettext_lazy("No job of the plan is like that.")

    def render_boat(self, record: PlannedJob) -> str:
        return boat_words(boat_name(record.job.order), boat_address(record.job.order.boat))

    def render_job(self, value: str, record: PlannedJob) -> str:
        return _("{job} (provisional)").format(job=value) if record.provisional else value

    def render_starts_at(self, value: datetime) -> str:
        return _moment(value)

    def render_ends_at(self, value: datetime) -> str:
        return _moment(value)

    def render_people(self, value: Any) -> str:
        return ", ".join(person.name for person in value.all())

    def render_places(self, value: Any) -> str:
        return ", ".join(dict.fromkeys(row.place.short_name or row.place.name for row in value.all()))

    def render_water(self, record: PlannedJob) -> str:
        if record.floats_at is not None:
            return _("floats at {time}").format(time=said(local(record.floats_at), "H:i"))
        return str(WATER_WORDS.get(WaterNeed(record.job.water_need), ""))


def _moment(at: datetime) -> str:
    return said(local(at), "D j M, H:i")
