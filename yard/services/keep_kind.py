"""Kinds of job, kept by the yard: added, changed, put away, and put back as they were.

Packages name kinds, and an order copies what its kind says of light, water, weather and cautions when it is taken. How
a job lies in time, whether two go, whether she is needed and the parts of a launch are read off the kind itself: a
change of these reaches open jobs too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from yard.models import JobKind, StaleRow
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign

FIELDS = (
    "name",
    "short_name",
    "letter",
    "trade",
    "cautions",
    "outdoor",
    "needs_light",
    "weather_class",
    "water_need",
    "not_alone",
    "needs_boat",
    "shares_boat",
    "pausing",
    "parts",
    "archived",
)
READ_OFF_THE_KIND = ("pausing", "not_alone", "needs_boat", "shares_boat", "parts", "letter", "trade", "short_name")
"""What open jobs have from their kind at all times; the rest is copied into an order when it is taken."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Written."""

    kind: JobKind


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was saved. words: by field; "" for the kind as a whole."""

    words: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class SomebodyWasQuicker:
    """Nothing was saved: the kind was changed since the page was read."""

    stored: JobKind


Outcome = TypeVar("Outcome", Refused, SomebodyWasQuicker)


class NotPutBack(Exception):
    """Nothing was changed; the text says why."""


def keep_kind(
    pk: int | None, values: Mapping[str, Any], *, seen_version: int, reason: str, by: User | None, now: datetime
) -> Kept | Refused | SomebodyWasQuicker:
    """A new kind (pk None), or one changed. values: by field of FIELDS, those that are left out stay."""
    try:
        with transaction.atomic():
            bump_facts()
            kind = JobKind.objects.get(pk=pk) if pk else JobKind(key=_free_key(str(values.get("name", ""))))
            if pk and kind.version != seen_version:
                return _nothing_saved(SomebodyWasQuicker(kind))
            for name in FIELDS:
                if name in values:
                    setattr(kind, name, values[name])
            if wrong := _wrong_with(kind):
                return _nothing_saved(Refused(wrong))
            sign(kind, by=by, now=now, reason=reason or ("changed" if pk else "added"))
            if pk:
                kind.save_over(seen_version)
            else:
                kind.save()
            return Kept(kind)
    except StaleRow as stale:
        return SomebodyWasQuicker(JobKind.objects.get(pk=stale.row.pk))


def put_back_kind(kind: JobKind, history_id: int, *, seen_version: int, by: User | None, now: datetime) -> JobKind:
    """As it stood after that change. Raises NotPutBack."""
    was = kind.history.filter(history_id=history_id).first()
    if was is None:
        raise NotPutBack("That is not a part of its history.")
    values = {name: getattr(was, name) for name in FIELDS}
    reason = f"as it was on {was.history_date:%Y-%m-%d}"
    match keep_kind(kind.pk, values, seen_version=seen_version, reason=reason, by=by, now=now):
        case Kept(row):
            return row
        case Refused(words):
            raise NotPutBack(" ".join(each for said in words.values() for each in said))
        case SomebodyWasQuicker():
            raise NotPutBack("Somebody changed it meanwhile: look at it again.")


def _wrong_with(kind: JobKind) -> dict[str, tuple[str, ...]]:
    words: dict[str, tuple[str, ...]] = {}
    try:
        kind.full_clean()
    except ValidationError as wrong:
        words = {("" if key == "__all__" else key): tuple(each) for key, each in wrong.message_dict.items()}
    same = JobKind.objects.filter(name__iexact=kind.name).exclude(pk=kind.pk)
    if same.exists():
        words["name"] = (*words.get("name", ()), "There is a kind of that name already.")
    if kind.water_need != "none" and not kind.outdoor:
        words["water_need"] = ("Work that needs water is out of doors: tick that as well.",)
    if kind.parts and kind.water_need == "none" and any(part.get("water") for part in kind.parts):
        words["parts"] = (*words.get("parts", ()), "A part needs water, and the kind needs none: say which water.")
    if kind.shares_boat and not kind.needs_boat:
        words["shares_boat"] = ("Others can share her only where the work is done on her.",)
        words.pop("", None)
    return words


def _free_key(name: str) -> str:
    """A key in addresses and packages that no row has; it never changes, whatever the name becomes."""
    stem = slugify(name).replace("-", "_")[:36] or "kind"
    key, number = stem, 2
    while JobKind.objects.filter(key=key).exists():
        key, number = f"{stem}_{number}", number + 1
    return key


def _nothing_saved(outcome: Outcome) -> Outcome:
    transaction.set_rollback(True)
    return outcome
