"""Days held for a caller: found again, kept with the order for so many hours, then taken, let go, or run out.

Whoever holds has read a day on a page. It is looked for once more, with nobody else writing meanwhile; where another
caller has it by now, nothing is held and the new day is told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import HeldDays, Order, StaleRow, YardSettings
from yard.queries.clock import yard_clock
from yard.services.change_order import Sender, save_order, withdraw
from yard.services.facts_revision import bump_facts
from yard.services.held_plan import rows_of
from yard.services.order_package import OrderRefused
from yard.services.plan_in_memory import lay_posted, plan_in_memory
from yard.services.read_problem import YardNotReady, read_problem
from yard.services.when_done import EarliestDays, Fit, NoDay, fit, read_with
from yard.tasks import ask_to_let_go

HELD_FOR = timedelta(hours=48)
LONGEST_SENTENCE = 600


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """What the page knew. seen_day: the last day that was read out.  sentence: what was said."""

    seen_day: date
    sentence: Callable[[EarliestDays], str]


class OtherDay(Exception):
    """The day that was read out is not to be had any more; `told` says what is."""

    def __init__(self, told: EarliestDays | NoDay) -> None:
        super().__init__(_("another day"))
        self.told = told


def hold_days(make_order: Callable[[], Order], caller: Caller, *, by: User, now: datetime) -> HeldDays:
    """Hold the days for HELD_FOR; the form sent twice holds them once.

    Raises OtherDay where they are not to be had any more, and what make_order raises; nothing is kept then.
    """
    try:
        memory = plan_in_memory(now=now)
    except YardNotReady as error:
        raise OtherDay(NoDay(str(error))) from error
    if memory is None:
        raise OtherDay(NoDay(_("No plan is posted any more: post one, then ask again.")))
    with transaction.atomic():
        revision = bump_facts()  # one writer at a time from here: two who hold at once do so one after the other
        order = make_order()
        if (same := HeldDays.objects.filter(order=order).first()) is not None:
            return same
        if memory.read.revision != revision - 1:  # somebody wrote since it was read
            memory = lay_posted(memory.posted, read_problem(now=now))
        asked = read_with(memory, order, now=now)
        found = asked if isinstance(asked, NoDay) else fit(asked)
        if not isinstance(found, Fit) or _last_day(found.told) > caller.seen_day:
            raise OtherDay(found.told if isinstance(found, Fit) else found)
        return _keep(order, found, caller, by, now)


def _keep(order: Order, found: Fit, caller: Caller, by: User, now: datetime) -> HeldDays:
    told = found.told
    order.refresh_from_db()
    order.promised_date = max(filter(None, (told.day_90, _last_day(told))))
    save_order(order, _("held for a caller"), Sender(by, now, order.version))
    jobs, stays = rows_of(found.asked.read, found.plan, set(found.asked.names))
    held = HeldDays(
        order=order,
        until=now + HELD_FOR,
        told_day=_last_day(told),
        day_80=told.day_80,
        day_90=told.day_90,
        said=caller.sentence(told)[:LONGEST_SENTENCE],
        jobs=jobs,
        stays=stays,
        made_by=by,
        made_at=now,
    )
    held.full_clean()
    held.save()
    transaction.on_commit(lambda: ask_to_let_go(after=HELD_FOR))
    return held


def _last_day(told: EarliestDays) -> date:
    zone = YardSettings.objects.values_list("time_zone", flat=True).get(pk=1)
    return told.ends_at.astimezone(ZoneInfo(zone)).date()


@transaction.atomic
def take_held(held: HeldDays, *, by: User, now: datetime) -> Order:
    """The caller wants it: the order stays, with the day that was told as promised.

    Raises StaleRow where it is not held any more, OrderRefused where its time has run out.
    """
    row = _live(held)
    if row.until <= now:
        raise OrderRefused(_("Its time has run out: ask again when it could be done."))
    _end(row, HeldDays.State.TAKEN, by, now)
    return save_order(row.order, _("the caller wants it"), Sender(by, now, row.order.version))


@transaction.atomic
def let_go(held: HeldDays, *, by: User, now: datetime) -> Order:
    """The caller does not want it: the order is withdrawn. Raises StaleRow where it is not held any more."""
    row = _live(held)
    _end(row, HeldDays.State.RELEASED, by, now)
    if row.order.state != Order.State.OPEN:
        return row.order  # withdrawn on its own page already
    return withdraw(row.order, reason=_("the caller did not want it"), sender=Sender(by, now, row.order.version))


def let_go_of_run_out(*, now: datetime) -> int:
    """Withdraw what was held until now or before; gives how many. Twice does nothing the second time."""
    count = 0
    for held in HeldDays.objects.filter(state=HeldDays.State.HELD, until__lte=now).order_by("id"):
        with transaction.atomic():
            try:
                row = _live(held)
                _end(row, HeldDays.State.RUN_OUT, None, now)
                if row.order.state == Order.State.OPEN:
                    withdraw(row.order, reason=_("its hold ran out"), sender=Sender(None, now, row.order.version))
            except (StaleRow, OrderRefused):
                continue  # decided meanwhile, or its work has begun: then it is an order, whatever was said
            count += 1
    return count


def let_go_in_worker(*, real_now: datetime) -> timedelta | None:
    """What the worker does; gives after how long to look again, None where nothing is held."""
    now = yard_clock(YardSettings.objects.filter(pk=1).first() or YardSettings(), real_now=real_now)
    let_go_of_run_out(now=now)
    until = HeldDays.objects.filter(state=HeldDays.State.HELD).values_list("until", flat=True).first()
    return None if until is None else max(until - now, timedelta(minutes=5))


def _live(held: HeldDays) -> HeldDays:
    """The row as it is now, with nobody else writing. Raises StaleRow where it is not held any more."""
    bump_facts()
    rows = HeldDays.objects.select_related("order__boat").filter(pk=held.pk, state=HeldDays.State.HELD)
    row = rows.first()
    if row is None:
        raise StaleRow(held)
    return row


def _end(row: HeldDays, state: HeldDays.State, by: User | None, now: datetime) -> None:
    row.state, row.ended_by, row.ended_at = state, by, now
    row.save()
