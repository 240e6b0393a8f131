"""The products that are put on in one job of an order: their limits, and the waits that their sheets give."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from yard.models import Job, JobLink, ProductSheet, YardSettings
from yard.services.product_limits import sheets_of
from yard.web.orders.words import between_words
from yard.web.products.words import limits_words


@dataclass(frozen=True)
class ProductRow:
    """waits: (the job that follows, how long it waits)."""

    sheet: ProductSheet
    limits: str
    waits: tuple[tuple[str, str], ...]


def product_rows(job: Job, yard: YardSettings) -> tuple[ProductRow, ...]:
    """Two queries."""
    sheets = sheets_of([job.pk]).get(job.pk, ())
    if not sheets:
        return ()
    links = list(JobLink.objects.filter(before=job, product_sheet__in=sheets).select_related("after").order_by("id"))
    return tuple(
        ProductRow(
            sheet=sheet,
            limits=limits_words(sheet, yard) or _("no limit stated"),
            waits=tuple(
                (link.after.name, between_words(link.min_wait_min, link.max_wait_min) or _("at once"))
                for link in links
                if link.product_sheet_id == sheet.pk
            ),
        )
        for sheet in sheets
    )
