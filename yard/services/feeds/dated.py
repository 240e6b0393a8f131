"""Closures, holidays and deadlines as events. Deadlines may name whose order it is, and are only for those who see
owners."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.day_names import said
from yard.feeds.event import Days, Hours, Shown, When
from yard.feeds.text import clean
from yard.models import Closure, Fact, FactKind, Job, Order, PlannedJob, Telling
from yard.promise.states import Rules
from yard.queries.letters_due import FinalCalls
from yard.services.feeds.jobs import page_of
from yard.services.feeds.rows import FeedRows
from yard.services.feeds.wanted import Wanted

CALL_MIN = 15
ONE_DAY = timedelta(days=1)


def wanted_closures(rows: FeedRows) -> Iterator[Wanted]:
    """Accepted closures and the yard's holidays."""
    for closure in rows.closures:
        what = closure.place.name if closure.place is not None else str(closure.get_covers_display())
        title = clean(_("Closed: {what} ({reason})").format(what=what, reason=closure.reason))[:300]
        when = _hours_or_days(closure, rows.zone)
        yield Wanted(
            f"closure {closure.pk}", "closures", Shown(summary=title, when=when, categories=("closed",), busy=False)
        )
    for day, name in rows.holidays.items():
        shown = Shown(
            summary=_("Yard closed: {name}").format(name=clean(name)),
            when=_day(day),
            categories=("closed",),
            busy=False,
        )
        yield Wanted(f"holiday {day}", "closures", shown)


def _hours_or_days(closure: Closure, zone: ZoneInfo) -> When:
    starts, ends = closure.starts_at.astimezone(zone), closure.ends_at.astimezone(zone)
    if starts.time() == ends.time() == time(0):
        return Days(starts.date(), ends.date())
    return Hours(closure.starts_at.replace(microsecond=0), closure.ends_at.replace(microsecond=0))


def wanted_deadlines(rows: FeedRows) -> Iterator[Wanted]:
    """Cloth to order and to come, permits and insurances that expire, tackle to inspect, owners to call."""
    yield from _papers(rows)
    yield from _cloth(rows)
    yield from _calls(rows)


def _deadline(key: str, title: str, when: When, *notes: str, url: str = "") -> Wanted:
    shown = Shown(
        summary=clean(title)[:300], when=when, notes=tuple(notes), categories=("deadline",), url=url, busy=False
    )
    return Wanted(key, "deadlines", shown)


def _day(day: date) -> Days:
    return Days(day, day + ONE_DAY)


def _papers(rows: FeedRows) -> Iterator[Wanted]:
    for mooring in rows.moorings:
        whose = f", {mooring.permit_boat.name}" if mooring.permit_boat is not None else ""
        if mooring.permit_expires_on is not None:
            number = _("Permit {permit}.").format(permit=mooring.permit_number) if mooring.permit_number else ""
            title = _("Permit expires: {mooring}{whose}").format(mooring=mooring, whose=whose)
            yield _deadline(f"permit of mooring {mooring.pk}", title, _day(mooring.permit_expires_on), number)
        if mooring.tackle_inspection_due_on is not None:
            title = _("Tackle to be inspected: {mooring}{whose}").format(mooring=mooring, whose=whose)
            yield _deadline(f"tackle of mooring {mooring.pk}", title, _day(mooring.tackle_inspection_due_on))
    for owned in rows.ownerships:
        if owned.insurance_expires_on is not None:
            title = _("Insurance expires: {boat}").format(boat=owned.boat.name)
            yield _deadline(f"insurance {owned.pk}", title, _day(owned.insurance_expires_on))


def _cloth(rows: FeedRows) -> Iterator[Wanted]:
    """When cloth is to be ordered, from the job that waits for it less the time that it takes; when a fact is due."""
    starts = {row.job_id: row.starts_at.astimezone(rows.zone).date() for row in rows.planned}
    for fact in rows.facts:
        order = fact.order
        if order is not None and order.state != Order.State.OPEN:
            continue
        boat = fact.boat or (order.boat if order is not None else None)
        name = boat.name if boat is not None else (order.walk_in_name if order is not None else "")
        url = page_of(order) if order is not None else ""
        if fact.expected_date is not None and not fact.guess:
            told = _("Said by {who}.").format(who=fact.told_by) if fact.told_by else ""
            yield _deadline(
                f"fact {fact.pk}",
                _("Expected: {fact}, {name}").format(fact=fact.name, name=name),
                _day(fact.expected_date),
                told,
                url=url,
            )
        elif fact.kind == FactKind.CLOTH and order is not None:
            days = rows.cloth_days.get((order.package_id or 0, fact.name))
            needed, planned = _needed(fact, order, starts)
            if days is not None and needed is not None:
                by = needed - timedelta(days=days)
                note = (
                    ngettext("Needed {day}; it takes about {n} day.", "Needed {day}; it takes about {n} days.", days)
                    if planned
                    else ngettext(
                        "To be done by {day}; it takes about {n} day.",
                        "To be done by {day}; it takes about {n} days.",
                        days,
                    )
                ).format(day=said(needed, "D j M"), n=days)
                yield _deadline(
                    f"order by, fact {fact.pk}",
                    _("Order by today: {fact}, {name}").format(fact=fact.name, name=name),
                    _day(by),
                    note,
                    url=url,
                )


def _needed(fact: Fact, order: Order, starts: dict[int, date]) -> tuple[date | None, bool]:
    """The day on which it must be here, and whether a plan says so."""
    planned = [starts[job.pk] for job in fact.jobs.all() if job.pk in starts]
    if planned:
        return min(planned), True
    return order.promised_date or order.latest_date or order.wanted_date, False


def _calls(rows: FeedRows) -> Iterator[Wanted]:
    """The day on which an owner is to be told the day, and the final call, as the yard's own rules have them."""
    calls = FinalCalls(rows.yard)
    rules = Rules(
        day_told_days_before=rows.yard.day_told_days_before,
        firm_told_hours_before=min(rows.yard.firm_told_hours_before, 24 * rows.yard.day_told_days_before),
    )
    last: dict[int, PlannedJob] = {}
    for row in rows.planned:
        if row.job.order.boat_id and (row.job.order_id not in last or row.ends_at >= last[row.job.order_id].ends_at):
            last[row.job.order_id] = row
    for order_pk, row in last.items():
        order, told = row.job.order, rows.tellings.get(order_pk)
        if row.job.state == Job.State.DONE or order.boat is None:
            continue
        day = row.ends_at.astimezone(rows.zone).date()
        what = f"{order.boat.name}: {order.name}, {said(day, 'D j M')}"
        state = told.state if told is not None and told.told_date == day else None
        if state not in (Telling.State.PROVISIONAL_DAY, Telling.State.FIRM, Telling.State.DONE):
            tell_on = day - timedelta(days=rules.day_told_days_before)
            yield _deadline(
                f"tell the day, order {order_pk}",
                _("Tell the day, {what}").format(what=what),
                _day(tell_on),
                url=page_of(order),
            )
        final = calls.before(day)
        if state not in (Telling.State.FIRM, Telling.State.DONE) and final is not None:
            when = Hours(final, final + timedelta(minutes=CALL_MIN))
            yield _deadline(
                f"final call, order {order_pk}", _("Final call, {what}").format(what=what), when, url=page_of(order)
            )
