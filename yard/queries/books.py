"""What the bookkeeper asks for: hours, materials and agreed extras of a range of days, by boat, order and person."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.contrib.auth.models import User
from django.utils.translation import gettext as _

from yard.models import ExtraWork, JobWork, MaterialUsed, Order
from yard.queries.accounts import called


@dataclass(frozen=True, slots=True)
class Days:
    """[first, after)."""

    first: date
    after: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of work, material or extra. person: who worked, noted it or heard the yes. quantity in unit."""

    day: date
    boat: str
    boat_ref: str
    order: str
    order_name: str
    season: str
    job: str
    kind: str
    person: str
    what: str
    quantity: float
    unit: str
    agreed: str = ""


@dataclass(frozen=True)
class Books:
    """extras: only those to which somebody said yes; not_agreed: how many others there are."""

    hours: tuple[Entry, ...]
    materials: tuple[Entry, ...]
    extras: tuple[Entry, ...]
    not_agreed: int


def books_of(days: Days) -> Books:
    """Four queries, however many lines."""
    extras = ExtraWork.objects.filter(done_on__gte=days.first, done_on__lt=days.after)
    return Books(
        hours=tuple(_hours(days)),
        materials=tuple(_materials(days)),
        extras=tuple(_extras(days)),
        not_agreed=extras.filter(agreed=ExtraWork.Agreed.NOT_ASKED).count(),
    )


def _hours(days: Days) -> Iterable[Entry]:
    rows = JobWork.objects.filter(worked_on__gte=days.first, worked_on__lt=days.after, worked_min__gt=0)
    for row in rows.select_related("person", *ABOUT).order_by("worked_on", "job__order__ref", "id"):
        hours = round((row.worked_min or 0) / 60, 2)
        yield _entry(row, row.worked_on, str(row.person), row.note or row.job.name, hours, "h")


def _materials(days: Days) -> Iterable[Entry]:
    rows = MaterialUsed.objects.filter(used_on__gte=days.first, used_on__lt=days.after)
    for row in rows.select_related("noted_by__person", *ABOUT).order_by("used_on", "job__order__ref", "id"):
        yield _entry(row, row.used_on, _called(row.noted_by), row.name, row.quantity, row.unit)


def _extras(days: Days) -> Iterable[Entry]:
    rows = ExtraWork.objects.filter(done_on__gte=days.first, done_on__lt=days.after)
    rows = rows.exclude(agreed=ExtraWork.Agreed.NOT_ASKED).select_related("noted_by__person", *ABOUT)
    for row in rows.order_by("done_on", "job__order__ref", "id"):
        hours = round(row.extra_min / 60, 2)
        yield _entry(row, row.done_on, _called(row.noted_by), row.what, hours, "h", row.get_agreed_display())


ABOUT = ("job__kind", "job__order__boat", "job__order__season")


def _entry(
    row: JobWork | MaterialUsed | ExtraWork,
    day: date,
    person: str,
    what: str,
    quantity: float,
    unit: str,
    agreed: str = "",
) -> Entry:
    order: Order = row.job.order
    return Entry(
        day=day,
        boat=order.boat.name if order.boat else order.walk_in_name,
        boat_ref=order.boat.ref if order.boat else "",
        order=order.ref,
        order_name=order.name,
        season=str(order.season or ""),
        job=row.job.name,
        kind=row.job.kind.name,
        person=person,
        what=what,
        quantity=quantity,
        unit=unit,
        agreed=agreed,
    )


def _called(user: User | None) -> str:
    """As in the hours: the person of whoever has the account, so that one is not summed as two."""
    person = getattr(user, "person", None)
    return str(person) if person is not None else called(user)


@dataclass(frozen=True, slots=True)
class Sum:
    """Of one boat, order or person: hours worked, hours of agreed extras, lines of material."""

    name: str
    hours: float
    extras_h: float
    materials: int


def sums_by(books: Books, key: str) -> list[Sum]:
    """key: boat, order or person. By name; boats of one name by their ref too."""
    refs = defaultdict[str, set[str]](set)
    for row in (*books.hours, *books.extras, *books.materials):
        refs[row.boat].add(row.boat_ref)
    found: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for at, rows in enumerate((books.hours, books.extras, books.materials)):
        for row in rows:
            found[_name(row, key, shared=len(refs[row.boat]) > 1)][at] += row.quantity if at < 2 else 1
    return [Sum(name, round(one[0], 2), round(one[1], 2), int(one[2])) for name, one in sorted(found.items())]


def _name(row: Entry, key: str, *, shared: bool) -> str:
    """shared: others have the boat's name too."""
    match key:
        case "boat":
            return f"{row.boat} ({row.boat_ref})" if row.boat_ref and shared else row.boat
        case "order":
            return f"{row.order} {row.order_name}, {row.boat}"
        case "person":
            return row.person or _("nobody named")
        case _:
            raise ValueError(_("sums are by boat, order or person, not by {key}").format(key=repr(key)))
