"""The intervals that the tool comes with: brought in on request, and never over what a yard made of them."""

from __future__ import annotations

import tomllib
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Interval, Package
from yard.services.pen import insert

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "intervals.toml"


@transaction.atomic
def bring_in_intervals(*, by: User | None, now: datetime) -> int:
    """Add those that are not on file; how many. A package that the yard has not is left empty."""
    there = set(Interval.objects.values_list("key", flat=True))
    packages = {row.key: row for row in Package.objects.all()}
    rows = tomllib.loads(SHIPPED.read_text(encoding="utf-8"))["interval"]
    fresh = [row | {"package": packages.get(row.get("package", ""))} for row in rows if row["key"] not in there]
    new = [Interval(**row) for row in fresh]
    for interval in new:
        interval.full_clean()
    insert(new, by=by, now=now, reason=_("as shipped"))
    return len(new)
