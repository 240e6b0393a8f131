"""A boat sold on a day to come: kept as it was agreed, carried out when that day begins in the yard, or called off.

Until then she is the old owner's: permit, insurance, addresses and calendars stand. On the day yard.services
.whole_change.sale does what it does for any sale. Both the worker, at the day's first minute, and whichever page or
calendar is asked for first on that day carry it out, so that nothing hangs on one of them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Boat, Owner, SaleToCome, StaleRow, YardSettings
from yard.queries.clock import yard_clock
from yard.services.facts_revision import bump_facts
from yard.services.keeping import Refused, Writer, nothing_saved
from yard.services.whole_change.sale import Sale, Sold, calendars_of, sell
from yard.tasks import carry_out_sales_at


class NotToChange(Exception):
    """Nothing was changed; the text says why."""


@dataclass(frozen=True, slots=True)
class Agreed:
    """Kept for its day."""

    row: SaleToCome


def agree(boat: Boat, sale: Sale, *, seen_version: int, writer: Writer) -> Agreed | Refused:
    """Keep a sale for its day, which is later than today. Raises StaleRow where she was changed since she was read."""
    with transaction.atomic():
        bump_facts()
        if sale.form_key and (same := SaleToCome.objects.filter(form_key=sale.form_key).first()):
            return nothing_saved(Agreed(same))
        boat.refresh_from_db()
        if boat.version != seen_version:
            transaction.set_rollback(True)
            raise StaleRow(boat)
        if waiting(boat) is not None:
            return nothing_saved(Refused({"": (_("A sale of hers is agreed already: call that one off first."),)}))
        if isinstance(tried := _tried(boat, sale, writer), Refused):
            return nothing_saved(tried)
        row = _row(boat, sale, writer)
        try:
            row.full_clean()
        except ValidationError as clash:
            return nothing_saved(Refused({"": tuple(clash.messages)}))
        row.save()
        _note_the_first()
        return Agreed(row)


def waiting(boat: Boat) -> SaleToCome | None:
    """The sale of hers that waits for its day, or for a person to look at it. One query."""
    return boat.sales_to_come.filter(called_off_at=None, carried_out_at=None).select_related("buyer", "made_by").first()


def call_off(row: SaleToCome, *, writer: Writer) -> None:
    """She stays whose she is. Raises NotToChange where it is carried out, or called off, already."""
    with transaction.atomic():
        bump_facts()
        undone = SaleToCome.objects.filter(pk=row.pk, called_off_at=None, carried_out_at=None)
        if undone.update(called_off_at=writer.now, called_off_by=writer.by) != 1:
            raise NotToChange(_("This sale was carried out, or called off, already: look at her page again."))
        _note_the_first()


def carry_out_due(*, now: datetime) -> None:
    """Every sale whose day has come in the yard's zone; twice does nothing the second time. now: the yard's clock."""
    yard = YardSettings.objects.filter(pk=1).first()
    if yard is None or not is_due(yard.next_sale_on, yard.time_zone, now):
        return
    today = now.astimezone(ZoneInfo(yard.time_zone)).date()
    for pk in _that_wait().filter(sold_on__lte=today, why_not="").values_list("pk", flat=True):
        _carry_out(pk, today, now)
    _note_the_first()


def carry_out_anyway(row: SaleToCome, *, writer: Writer) -> str:
    """Once more, after somebody looked at what stood in its way; "" where it is done, else why not."""
    SaleToCome.objects.filter(pk=row.pk).update(why_not="")
    if row.sold_on <= writer.today:
        _carry_out(row.pk, writer.today, writer.now)
    _note_the_first()
    row.refresh_from_db()
    return row.why_not


def is_due(day: date | None, zone: str, now: datetime) -> bool:
    """Whether that day has begun in the yard."""
    return day is not None and now.astimezone(ZoneInfo(zone)).date() >= day


def begins_at(day: date, zone: str) -> datetime:
    """The first minute of a day in the yard, in UTC; where clocks go on at midnight, the first that there is."""
    return datetime.combine(day, time(0), tzinfo=ZoneInfo(zone)).astimezone(UTC)


def first_at() -> datetime | None:
    """When the first sale to come is carried out; None where none waits, or the yard's clock stands still."""
    yard = YardSettings.objects.filter(pk=1).first()
    if yard is None or yard.next_sale_on is None or yard.clock_frozen_at is not None:
        return None
    return begins_at(yard.next_sale_on, yard.time_zone)


def carry_out_in_worker(*, real_now: datetime) -> None:
    yard = YardSettings.objects.filter(pk=1).first()
    if yard is not None:
        carry_out_due(now=yard_clock(yard, real_now=real_now))


def sale_of(row: SaleToCome) -> Sale:
    """What was agreed, as a Sale."""
    said: dict[str, Any] = row.agreed
    return Sale(
        sold_on=row.sold_on,
        sellers=frozenset(said["sellers"]),
        buyer=row.buyer if row.buyer is not None else row.new_owner,
        moorings_stay=frozenset(said["moorings_stay"]),
        withdrawn=frozenset(said["withdrawn"]),
        calendars_end=frozenset(said["calendars_end"]),
        papers_by=_day(said["papers_by"]),
        insured_until=_day(said["insured_until"]),
    )


def _tried(boat: Boat, sale: Sale, writer: Writer) -> Sold | Refused:
    """The sale as it would be carried out on its day, and taken back at once: what is wrong is said now."""
    with transaction.atomic():
        on_the_day = Writer(writer.by, writer.now, sale.sold_on)
        tried = sell(boat, replace(sale, form_key=None), seen_version=boat.version, writer=on_the_day)
        transaction.set_rollback(True)
    boat.refresh_from_db()
    return tried


def _row(boat: Boat, sale: Sale, writer: Writer) -> SaleToCome:
    on_file = sale.buyer if isinstance(sale.buyer, Owner) else None
    return SaleToCome(
        boat=boat,
        sold_on=sale.sold_on,
        buyer=on_file,
        new_owner={} if isinstance(sale.buyer, Owner) else dict(sale.buyer),
        agreed={
            "sellers": sorted(sale.sellers),
            "moorings_stay": sorted(sale.moorings_stay),
            "withdrawn": sorted(sale.withdrawn),
            "calendars_end": sorted(sale.calendars_end),
            "papers_by": sale.papers_by.isoformat() if sale.papers_by else None,
            "insured_until": sale.insured_until.isoformat() if sale.insured_until else None,
        },
        made_by=writer.by,
        made_at=writer.now,
        form_key=sale.form_key,
    )


def _day(said: str | None) -> date | None:
    return None if said is None else date.fromisoformat(said)


def _that_wait() -> Any:
    return SaleToCome.objects.filter(called_off_at=None, carried_out_at=None)


def _carry_out(pk: int, today: date, now: datetime) -> None:
    """One sale, whole or not at all; what stands in its way is written down and asks for a person."""
    with transaction.atomic():
        bump_facts()  # one at a time: whoever comes second finds it done
        row = _that_wait().filter(pk=pk).select_related("boat", "buyer", "made_by").first()
        if row is None:
            return
        writer = Writer(row.made_by, now, today)
        try:
            with transaction.atomic():
                outcome = sell(row.boat, _as_of(row, today), seen_version=row.boat.version, writer=writer)
        except StaleRow:
            return  # somebody writes her at this moment: the next page tries again
        match outcome:
            case Sold(change, _):
                row.change, row.carried_out_at, row.why_not = change, now, ""
            case Refused(words):
                row.why_not = " ".join(each for said in words.values() for each in said)[:300]
        row.save()


def _as_of(row: SaleToCome, today: date) -> Sale:
    """As agreed; calendars that the seller was given since end too, and a guess whose day has passed is for today."""
    sale = sale_of(row)
    since = {address.pk for address in calendars_of(row.boat) if address.made_at >= row.made_at}
    papers = max(sale.papers_by, today) if sale.papers_by is not None else None
    return replace(sale, calendars_end=sale.calendars_end | since, papers_by=papers)


def _note_the_first() -> None:
    """Every request reads the yard's row: there it sees whether a sale is due. The worker is asked for that minute."""
    first = _that_wait().filter(why_not="").order_by("sold_on").values_list("sold_on", flat=True).first()
    YardSettings.objects.filter(pk=1).update(next_sale_on=first)
    if (at := first_at()) is not None:
        carry_out_sales_at(at)
