"""Reads of the list of owners."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from yard.models import BoatOwner, Owner

FEWEST_DIGITS = 4
"""Fewer digits are no part of a telephone number that anybody would look for."""


@dataclass(frozen=True)
class OwnerRow:
    """One owner of the list. boats: owned now; insured_to: the first of their insurances to run out."""

    owner: Owner
    boats: tuple[BoatOwner, ...]
    insured_to: date | None


def owners_on_file() -> QuerySet[Owner]:
    return Owner.objects.order_by("name", "id")


def owners_found(rows: QuerySet[Owner], words: str) -> QuerySet[Owner]:
    """Owners that carry every word: name, e-mail, address, boat; or whose number has these digits in this order."""
    digits = "".join(letter for letter in words if letter.isdigit())
    if len(digits) >= FEWEST_DIGITS and not any(letter.isalpha() for letter in words):
        numbers = rows.values_list("pk", "phone", "other_phones")
        return rows.filter(pk__in=[pk for pk, *lines in numbers if _has(digits, lines)])
    for word in words.split():
        hers = BoatOwner.objects.filter(owner=OuterRef("pk"), ends_on=None, boat__name__icontains=word)
        rows = rows.filter(
            Q(name__icontains=word) | Q(email__icontains=word) | Q(address__icontains=word) | Exists(hers)
        )
    return rows


def _has(digits: str, texts: Iterable[str]) -> bool:
    lines = (line for text in texts for line in text.splitlines())
    return any(digits in "".join(letter for letter in line if letter.isdigit()) for line in lines)


def lacking(rows: QuerySet[Owner], what: str, today: date) -> QuerySet[Owner]:
    """Those of whom something is missing: a `phone`, an `email`, a `boat`, an `insurance` that lasts."""
    now = BoatOwner.objects.filter(owner=OuterRef("pk"), ends_on=None, boat__archived=False)
    match what:
        case "phone":
            return rows.filter(phone="", other_phones="")
        case "email":
            return rows.filter(email="")
        case "boat":
            return rows.exclude(Exists(now))
        case "insurance":
            over = Q(insurance_expires_on=None) | Q(insurance_expires_on__lt=today)
            return rows.filter(Exists(now.filter(over)))
        case _:
            return rows


def owner_rows(rows: QuerySet[Owner]) -> list[OwnerRow]:
    """The owners with their boats. Two queries, however many."""
    shares = BoatOwner.objects.filter(ends_on=None, boat__archived=False).select_related("boat")
    found = rows.prefetch_related(Prefetch("ownerships", shares.order_by("boat__name", "id"), to_attr="owned_now"))
    return [_row(owner, tuple(owner.owned_now)) for owner in found]


def _row(owner: Owner, boats: tuple[BoatOwner, ...]) -> OwnerRow:
    days = [each.insurance_expires_on for each in boats if each.insurance_expires_on is not None]
    return OwnerRow(owner, boats, min(days, default=None))
