"""The one writer of the yard's rules for autumn, and of what rows and racks hold."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import AutumnRules, Place, PlaceKind, StackMeasure, StaleRow
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign
from yard.services.stowing.freeze import published

STACKED = (PlaceKind.STORE_ROW, PlaceKind.SPAR_RACK)


class RulesRefused(Exception):
    """What was typed cannot be; faults name the field and the remedy. Nothing was saved."""

    def __init__(self, faults: Mapping[str, str]) -> None:
        super().__init__(" ".join(faults.values()))
        self.faults = dict(faults)


@transaction.atomic
def save_rules(values: Mapping[str, Any], *, seen_version: int, by: User | None, now: datetime) -> AutumnRules:
    """Save the rules. seen_version: 0 where none were on file. Raises RulesRefused, StaleRow."""
    bump_facts()
    stored = AutumnRules.objects.filter(pk=1).first()
    if (stored.version if stored is not None else 0) != seen_version:
        raise StaleRow(stored or AutumnRules())
    row = stored or AutumnRules()
    for name, value in values.items():
        setattr(row, name, value)
    _refuse_freeze(row)
    _checked(row)
    sign(row, by=by, now=now, reason=_("rules for autumn changed"))
    row.save()
    return row


def _refuse_freeze(row: AutumnRules) -> None:
    station = published().get(row.freeze_station)
    if row.freeze_station and station is None:
        raise RulesRefused({"freeze_station": _("No table has this station: choose one of those listed.")})
    if station is not None and row.freeze_below_f not in station.days:
        known = ", ".join(f"{each} °F" for each in sorted(station.days))
        raise RulesRefused(
            {
                "freeze_below_f": _("{station} has dates for {known}: choose one of these.").format(
                    station=station.name, known=known
                )
            }
        )
    if row.freeze_own_day == "02-29":
        raise RulesRefused({"freeze_own_day": _("Not every year has a 29 February: give another day.")})


@transaction.atomic
def save_stack(
    place: Place, values: Mapping[str, Any], *, seen_version: int, by: User | None, now: datetime
) -> StackMeasure:
    """Save what a row or rack holds. seen_version: 0 where nothing was on file. Raises RulesRefused, StaleRow."""
    bump_facts()
    if place.kind not in STACKED:
        raise RulesRefused({"": _("{place} is neither a row of the store nor a spar rack.").format(place=place)})
    stored = StackMeasure.objects.filter(place=place).first()
    if (stored.version if stored is not None else 0) != seen_version:
        raise StaleRow(stored or StackMeasure(place=place))
    row = stored or StackMeasure(place=place)
    for name, value in values.items():
        setattr(row, name, value)
    if place.kind == PlaceKind.STORE_ROW and (row.levels != 1 or row.per_level is not None):
        raise RulesRefused({"levels": _("A row has one level; how many boats it takes stands with the place.")})
    _checked(row)
    sign(row, by=by, now=now, reason=_("what it holds"))
    row.save()
    return row


def _checked(row: AutumnRules | StackMeasure) -> None:
    try:
        row.full_clean()
    except ValidationError as error:
        raise RulesRefused({key: " ".join(each) for key, each in error.message_dict.items()}) from error
