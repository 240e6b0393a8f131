"""Which data sheets hold for a job, and what weather it bears with them.

A sheet is named on the wait that it gives (JobLink.product_sheet): the product is put on in the job before, and between
two coats in the job after as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Q

from yard.models import Job, JobLink, ProductSheet, YardSettings
from yard.services.weather_limits import WORK_OF, limits_of
from yard.weather.limits import Limits, WorkKind
from yard.weather.product import ProductLimits, with_products

ANY_WEATHER = Limits(source="any weather")
Sheets = Mapping[int, tuple[ProductSheet, ...]]
"""The data sheets that hold for a job, by the job's id, each once."""


def sheets_of(jobs: Iterable[int]) -> Sheets:
    """One query, however many jobs."""
    ids = list(jobs)
    links = JobLink.objects.filter(Q(before__in=ids) | Q(after__in=ids), product_sheet__isnull=False)
    rows = links.select_related("product_sheet", "before", "after").order_by("product_sheet", "id")
    return sheets_by_job(rows, {job.pk: job.kind_id for link in rows for job in (link.before, link.after)})


def sheets_by_job(links: Iterable[JobLink], kind_of: Mapping[int, int]) -> Sheets:
    """From links whose product_sheet is read. kind_of: the kind of each job by its id; others are left away."""
    found: dict[int, dict[int, ProductSheet]] = {}
    for link in links:
        sheet = link.product_sheet
        if sheet is None or link.before_id not in kind_of:
            continue
        found.setdefault(link.before_id, {})[sheet.pk] = sheet
        if kind_of.get(link.after_id) == kind_of[link.before_id]:
            found.setdefault(link.after_id, {})[sheet.pk] = sheet
    return {job: tuple(sheets[pk] for pk in sorted(sheets)) for job, sheets in found.items()}


def product_limits(sheet: ProductSheet) -> ProductLimits:
    """A sheet says how damp the air may be at most, a limit what it must be under: the same, or a shade stricter."""
    return ProductLimits(
        name=sheet.name,
        source=sheet.source,
        min_temp_c=sheet.min_temp_c,
        max_temp_c=sheet.max_temp_c,
        below_rh=None if sheet.max_humidity_pct is None else float(sheet.max_humidity_pct),
        min_dew_spread_c=sheet.min_dew_spread_c,
    )


@dataclass(frozen=True)
class WeatherBook:
    """The yard's limits of each kind of work, with those that it has set itself, and the sheets that hold for jobs."""

    limits: Mapping[WorkKind, Limits]
    own: Mapping[str, Mapping[str, float]]
    sheets: Sheets

    @classmethod
    def of(cls, yard: YardSettings, sheets: Sheets) -> WeatherBook:
        return cls(limits_of(yard), yard.weather_limits, sheets)

    def named(self, job: Job) -> tuple[ProductSheet, ...]:
        """The sheets of a job; none is asked for where none holds for any."""
        return self.sheets.get(job.pk, ()) if self.sheets else ()

    def of_job(self, job: Job) -> Limits | None:
        """What weather it bears; None where any will do. Indoors the air is not the forecast's: no limit."""
        work = WORK_OF.get(job.weather_class)
        base = None if work is None else self.limits[work]
        products = [product_limits(sheet) for sheet in self.named(job)] if job.outdoor else []
        if all(each.states_none for each in products):
            return base
        return with_products(base or ANY_WEATHER, products, own=self.own.get(work or "", {}))
