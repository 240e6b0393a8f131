"""A boat sold on a day: from then on she is another's, and what was the old owner's alone is asked anew.

Things stay with her. The harbormaster's permit and the insurance are a person's: work waits on them again, as it does
on tackle where the mooring stays with the seller. Calendars that the seller may read end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import (
    Boat,
    BoatOwner,
    CalendarAddress,
    Fact,
    FactKind,
    Job,
    Mooring,
    Order,
    Owner,
    OwnerPage,
    StaleRow,
    WholeChange,
)
from yard.services import keeping
from yard.services.facts_revision import bump_facts
from yard.services.keep_owner import OWNER
from yard.services.keeping import Kept, Refused, Writer, nothing_saved
from yard.services.pen import Pen
from yard.services.whole_change.ledger import Ledger

INSURANCE = gettext_noop("insurance of the new owner")


@dataclass(frozen=True, slots=True)
class Sale:
    """What was agreed, and what it changes here.

    sellers: ids of the shares (BoatOwner) that end. buyer: an owner on file, or the values of a new one by field of
    OWNER_FIELDS. moorings_stay: ids of moorings of hers that remain the seller's. withdrawn: ids of open orders that
    the new owner does not take over. calendars_end: ids of calendar addresses. papers_by: when the new permit and
    insurance are guessed to be here, None: nobody knows. insured_until: where the new insurance is known already.
    """

    sold_on: date
    sellers: frozenset[int]
    buyer: Owner | Mapping[str, Any]
    moorings_stay: frozenset[int] = frozenset()
    withdrawn: frozenset[int] = frozenset()
    calendars_end: frozenset[int] = frozenset()
    papers_by: date | None = None
    insured_until: date | None = None
    form_key: UUID | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Sold:
    change: WholeChange
    buyer: Owner


def sell(boat: Boat, sale: Sale, *, seen_version: int, writer: Writer) -> Sold | Refused:
    """One transaction: all of it, or nothing. Raises StaleRow where she was changed since the page was read."""
    with transaction.atomic():
        bump_facts()
        if sale.form_key and (same := WholeChange.objects.filter(form_key=sale.form_key).first()):
            return nothing_saved(Sold(same, _buyer_of(same)))
        boat.refresh_from_db()
        if boat.version != seen_version:
            transaction.set_rollback(True)
            raise StaleRow(boat)
        shares = list(current_shares(boat))
        words = cannot_be(boat, shares, sale, writer.today)
        if sale.sold_on > writer.today:
            words["sold_on"] = (_("That day is still to come: it is kept until then, and carried out on it."),)
        if words:
            return nothing_saved(Refused(words))
        ledger = Ledger(
            Pen(writer.by, writer.now, writer.today, _("sold on {day}").format(day=f"{sale.sold_on:%Y-%m-%d}"))
        )
        try:
            buyer = _buyer(sale.buyer, writer, ledger)
            if isinstance(buyer, Refused):
                return nothing_saved(buyer)
            _change_hands(boat, shares, sale, buyer, ledger)
        except ValidationError as wrong:
            return nothing_saved(Refused({"": tuple(wrong.messages)}))
        _ask_anew(boat, sale, ledger)
        ledger.pen.sign(boat)
        boat.save_over(seen_version)  # whoever has her page open is told
        return Sold(_on_file(boat, buyer, sale, ledger), buyer)


def current_shares(boat: Boat) -> QuerySet[BoatOwner]:
    """Whose she is now, the one called first before others."""
    rows = boat.ownerships.filter(ends_on=None).select_related("owner")
    return rows.order_by("-told_first", "starts_on", "id")


def calendars_of(boat: Boat) -> QuerySet[CalendarAddress]:
    """Calendars that tell of her and may be a seller's: her own, and those of her owners."""
    owners = current_shares(boat).values("owner")
    rows = CalendarAddress.objects.filter(Q(boat=boat) | Q(owner__in=owners), withdrawn_at=None)
    return rows.select_related("made_by", "owner").order_by("kind", "name", "id")


def cannot_be(boat: Boat, shares: list[BoatOwner], sale: Sale, today: date) -> dict[str, tuple[str, ...]]:
    """What is wrong with a sale, by field; today: the day on which it is carried out."""
    sold_on, wrong = sale.sold_on, dict[str, tuple[str, ...]]()
    if boat.archived:
        wrong[""] = (_("She is archived: bring her back first."),)
    if shares and not sale.sellers & {row.pk for row in shares}:
        wrong["sellers"] = (_("Say whose share was sold: somebody's who owns her now."),)
    for row in (row for row in shares if row.pk in sale.sellers and row.starts_on >= sold_on):
        wrong["sold_on"] = (
            _("{owner} is on file as owner from {day} on: a later day.").format(
                owner=row.owner, day=f"{row.starts_on:%Y-%m-%d}"
            ),
        )
    if isinstance(sale.buyer, Owner) and sale.buyer.pk in {row.owner_id for row in shares if row.pk in sale.sellers}:
        wrong["buyer"] = (_("{buyer} is the one who sells: name the new owner.").format(buyer=sale.buyer),)
    if sale.papers_by is not None and sale.papers_by < today:
        wrong["papers_by"] = (_("That day has passed, or is before she is sold: give a later one, or leave it empty."),)
    started = Job.objects.filter(order__in=sale.withdrawn, order__boat=boat, state=Job.State.STARTED).first()
    if started is not None:
        wrong["withdrawn"] = (
            _("“{started}” is under way: report it finished or stopped first.").format(started=started.name),
        )
    return wrong


def _buyer(named: Owner | Mapping[str, Any], writer: Writer, ledger: Ledger) -> Owner | Refused:
    if isinstance(named, Owner):
        if named.archived:
            return Refused({"buyer": (_("{named} is archived: bring this owner back first.").format(named=named),)})
        return named
    match keeping.add(OWNER, named, writer=writer):
        case Kept(row):
            ledger.made(row)
            return row
        case Refused(words):
            return Refused({f"new_{key}" if key else "": said for key, said in words.items()})


def _change_hands(boat: Boat, shares: list[BoatOwner], sale: Sale, buyer: Owner, ledger: Ledger) -> None:
    first = not shares
    for row in (row for row in shares if row.pk in sale.sellers):
        first = first or row.told_first
        ledger.change(row, ends_on=sale.sold_on)
    has = next((row for row in shares if row.owner_id == buyer.pk), None)
    if has is not None:  # who owned a part of her owns more of her now
        ledger.change(has, told_first=has.told_first or first)
        return
    first = first or not any(row.told_first for row in shares if row.pk not in sale.sellers)
    share = BoatOwner(
        boat=boat,
        owner=buyer,
        starts_on=sale.sold_on,
        told_first=first,
        insurance_expires_on=sale.insured_until,
    )
    share.full_clean()
    ledger.make([share])


def _ask_anew(boat: Boat, sale: Sale, ledger: Ledger) -> None:
    """Permit, insurance and what the seller keeps; orders that go, calendars that end."""
    kinds = [FactKind.PERMIT, *([FactKind.TACKLE_SET] if sale.moorings_stay else [])]
    for mooring in Mooring.objects.filter(permit_boat=boat).order_by("id"):
        if mooring.pk in sale.moorings_stay:
            ledger.change(mooring, permit_boat=None)
        else:
            ledger.change(mooring, permit_number="", permit_expires_on=None)
    for order in boat.orders.filter(state=Order.State.OPEN).order_by("id"):
        if order.pk in sale.withdrawn:
            ledger.change(order, state=Order.State.CANCELLED)
        elif order.to_mooring_id in sale.moorings_stay:
            ledger.change(order, to_mooring=None)
    of_her = Fact.objects.filter(Q(boat=boat) | Q(order__boat=boat, order__state=Order.State.OPEN))
    for fact in of_her.filter(kind__in=kinds).order_by("id"):
        ledger.change(fact, **_open_again(sale), set_by=ledger.pen.by, set_at=ledger.pen.now)
    _ask_insurance(boat, sale, ledger)
    for page in OwnerPage.objects.filter(owner__in=_own_nothing_now(ledger), withdrawn_at=None):
        ledger.change(page, withdrawn_at=ledger.pen.now)
    ends = {"withdrawn_at": ledger.pen.now, "changed_at": ledger.pen.now}
    for address in CalendarAddress.objects.filter(pk__in=sale.calendars_end & set(calendars_before(boat, ledger))):
        ledger.change(address, **ends)


def _own_nothing_now(ledger: Ledger) -> list[int]:
    """Sellers who have no share in any boat now: their private page has nothing to show."""
    shares = [row["pk"] for row in ledger.rows if row["model"] == "BoatOwner"]
    sellers = Owner.objects.filter(ownerships__pk__in=shares, ownerships__ends_on__isnull=False)
    return [row.pk for row in sellers.distinct() if not row.ownerships.filter(ends_on=None).exists()]


def calendars_before(boat: Boat, ledger: Ledger) -> list[int]:
    """Addresses of hers and of those whose shares were written in this change."""
    shares = [row["pk"] for row in ledger.rows if row["model"] == "BoatOwner"]
    sellers = BoatOwner.objects.filter(pk__in=shares, ends_on__isnull=False).values("owner")
    rows = CalendarAddress.objects.filter(Q(boat=boat) | Q(owner__in=sellers), withdrawn_at=None)
    return list(rows.values_list("pk", flat=True))


def _open_again(sale: Sale) -> dict[str, Any]:
    state = Fact.State.EXPECTED if sale.papers_by else Fact.State.UNKNOWN
    return {
        "state": state,
        "here_since": None,
        "expected_date": sale.papers_by,
        "guess": sale.papers_by is not None,
        "told_by": "",
    }


def _ask_insurance(boat: Boat, sale: Sale, ledger: Ledger) -> None:
    """The jobs that wait on her permit wait on the insurance too, unless it is known."""
    if sale.insured_until is not None and sale.insured_until > ledger.pen.today:
        return
    undone = [Job.State.OPEN, Job.State.STARTED]
    of_her = Job.objects.filter(order__boat=boat, order__state=Order.State.OPEN, state__in=undone)
    jobs = list(of_her.filter(facts__kind=FactKind.PERMIT).distinct().order_by("id"))
    if not jobs:
        return
    pen = ledger.pen
    fact = Fact(kind=FactKind.OTHER, name=_(INSURANCE), boat=boat, set_by=pen.by, set_at=pen.now, **_open_again(sale))
    fact.full_clean()
    ledger.make([fact])
    fact.jobs.add(*jobs)


def _on_file(boat: Boat, buyer: Owner, sale: Sale, ledger: Ledger) -> WholeChange:
    return WholeChange.objects.create(
        kind=WholeChange.Kind.SOLD,
        says=_("{boat} sold to {buyer} on {day}").format(boat=boat, buyer=buyer, day=f"{sale.sold_on:%Y-%m-%d}")[:300],
        boat=boat,
        rows=ledger.rows,
        made_by=ledger.pen.by,
        made_at=ledger.pen.now,
        form_key=sale.form_key,
    )


def _buyer_of(change: WholeChange) -> Owner:
    """Of a sale that the same form made before: whose share was made, or else whose was changed last."""
    shares = [row["pk"] for row in change.rows if row["model"] == "BoatOwner"]
    return BoatOwner.objects.select_related("owner").get(pk=shares[-1]).owner
