"""An estimate of a package is changed to what the yard's own jobs took, when a person says so."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import EstimateChange, PackageWay, StaleRow
from yard.queries.honesty import hours_measured


class EstimateRefused(Exception):
    """The estimate stays; the text says why."""


@transaction.atomic
def accept_estimate(way: PackageWay, *, seen_min: int, suggested_min: int, by: User, now: datetime) -> EstimateChange:
    """Write the suggested hours into the package; orders that are taken already keep theirs.

    seen_min, suggested_min: as the page showed them. Raises StaleRow where the estimate is another by now, and
    EstimateRefused where the jobs suggest something else by now.
    """
    row = PackageWay.objects.select_for_update().get(pk=way.pk)
    if row.duration_min != seen_min:
        raise StaleRow(row)
    measured = next((each for each in hours_measured() if each.way.pk == row.pk), None)
    if measured is None or measured.suggested_min != suggested_min:
        raise EstimateRefused(_("The finished jobs suggest other hours by now: look at the page again."))
    change = EstimateChange.objects.create(
        way=row, before_min=seen_min, after_min=suggested_min, jobs=measured.jobs, changed_by=by, changed_at=now
    )
    row.duration_min = suggested_min
    row.save(update_fields=["duration_min"])
    return change
