"""How seasons are kept: a name, the first day, and the first day after it. One that is closed is not changed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.day_names import said
from yard.models import Season, closed_words
from yard.services.keeping import Keeper, Words

LONGEST_DAYS = 550
"""A season is longer only by a slip of the year (common practice: a year, or half of one)."""


def _wrong_with(season: Season, values: Mapping[str, Any]) -> Words:
    if season.closed_at is not None:
        return {"": (closed_words(season),)}
    if season.ends_on <= season.starts_on:
        return {"ends_on": (_("It ends before it begins: give the first day after it."),)}
    if (season.ends_on - season.starts_on).days > LONGEST_DAYS:
        return {"ends_on": (_("That is more than {n} days: was the year mistyped?").format(n=LONGEST_DAYS),)}
    others = Season.objects.exclude(pk=season.pk)
    if clash := others.filter(starts_on__lt=season.ends_on, ends_on__gt=season.starts_on).first():
        words = _("{season} has some of these days ({starts_on} to {ends_on})").format(
            season=clash, starts_on=said(clash.starts_on, "j M Y"), ends_on=said(clash.ends_on, "j M Y")
        )
        return {"starts_on": (_("{words}: begin after it, or change that one.").format(words=words),)}
    return {}


SEASON = Keeper(
    model=Season,
    fields=("name", "starts_on", "ends_on"),
    words={"starts_on": gettext_noop("first day"), "ends_on": gettext_noop("first day after it")},
    wrong_with=_wrong_with,
)
