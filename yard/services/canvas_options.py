"""The options that the tool comes with: brought in on request, and never over what a yard made of them."""

from __future__ import annotations

import tomllib
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import CanvasOption
from yard.services.pen import insert

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "canvas_options.toml"


@transaction.atomic
def bring_in_options(*, by: User | None, now: datetime) -> int:
    """Add those that are not on file; how many."""
    there = set(CanvasOption.objects.values_list("key", flat=True))
    rows = tomllib.loads(SHIPPED.read_text(encoding="utf-8"))["option"]
    new = [CanvasOption(**row, sequence=number) for number, row in enumerate(rows, 1) if row["key"] not in there]
    for option in new:
        option.full_clean()
    insert(new, by=by, now=now, reason=_("as shipped"))
    return len(new)
