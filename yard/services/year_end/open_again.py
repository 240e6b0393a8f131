"""A closed season is opened again, with a reason; what was carried out of it stays where it went."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Season
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign
from yard.services.year_end.choices import YearEndRefused


@transaction.atomic
def open_again(season: Season, *, why: str, seen_version: int, by: User, now: datetime) -> Season:
    """Its rows can be changed from now on; its history says who opened it, when and why.

    Raises YearEndRefused without a reason or where it is open, and StaleRow where somebody else changed it meanwhile.
    """
    bump_facts()
    row = Season.objects.get(pk=season.pk)
    if not why.strip():
        raise YearEndRefused(_("Say why it is opened again: the bookkeeper will ask."))
    if row.closed_at is None:
        raise YearEndRefused(_("{season} is open already.").format(season=row))
    row.closed_at = None
    sign(row, by=by, now=now, reason=_("opened again: {why}").format(why=why.strip()))
    return row.save_over(seen_version)
