"""A season is carried into the next and closed: in steps that go on after a stop, and the season only in the last.

Each order taken again is a transaction of its own, so that others write meanwhile; its line stands in the same
transaction, so whatever was done is known. All the rest (finished orders, unfinished ones, repair lists, estimates, the
closing itself) is one last transaction. Where that is refused, all that was made before is taken back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from yard.models import (
    Order,
    PackageWay,
    RepairList,
    SameAgain,
    Season,
    SeasonClosed,
    StaleRow,
    YardSettings,
    YearEnd,
    YearEndLine,
)
from yard.queries.accounts import called
from yard.queries.clock import yard_clock
from yard.services.estimates import EstimateRefused, accept_estimate
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderRefused, today_in_yard
from yard.services.owner_pages.winter import list_one
from yard.services.pen import sign
from yard.services.year_end.choices import Choices, YearEndRefused
from yard.services.year_end.preview import Preview, preview_of
from yard.services.year_end.take_back import undo_lines
from yard.tasks import ask_to_end_season

State, Kind = YearEnd.State, YearEndLine.Kind
SILENT_FOR = timedelta(seconds=90)
"""A run that gave no sign for so long was killed: one order takes a fraction of a second."""
IN_HAND = (State.QUEUED, State.RUNNING, State.STOPPED)


@dataclass(frozen=True, slots=True)
class _Run:
    """The run in hand. now: the yard's clock; it ticks on the real one only for the heartbeat."""

    row: YearEnd
    claim: UUID
    now: datetime
    clock: Callable[[], datetime]


def ask_for_end(
    season: Season, choices: Choices, *, form_key: UUID, by: User, now: datetime, real_now: datetime
) -> YearEnd:
    """Ask the worker to end a season so. The same form sent twice is one. now: the yard's clock.

    Raises YearEndRefused: something is in the way, or somebody else is at it.
    """
    try:
        with transaction.atomic():
            bump_facts()
            if (same := YearEnd.objects.filter(form_key=form_key).first()) is not None:
                return same
            fresh = Season.objects.get(pk=season.pk)
            if fresh.closed_at is not None:
                raise YearEndRefused(_("{fresh} is closed already.").format(fresh=fresh))
            preview = preview_of(fresh, today=today_in_yard(now))
            into = _demand(preview, choices)
            row = YearEnd.objects.create(
                season=fresh,
                into=into,
                again_into=preview.again_into if choices.again else None,
                choices=choices.as_row(),
                form_key=form_key,
                total=choices.steps,
                asked_by=by,
                asked_at=now,
                heartbeat_at=real_now,
            )
            ask_to_end_season(row.pk)
            return row
    except IntegrityError as error:
        other = YearEnd.objects.filter(season=season, state__in=IN_HAND).select_related("asked_by").first()
        who = called(other.asked_by, nobody=_("Somebody")) if other is not None else _("Somebody")
        raise YearEndRefused(
            _("{who} is ending {season} already: look at how far that is.").format(who=who, season=season)
        ) from error


def _demand(preview: Preview, choices: Choices) -> Season:
    if preview.into is None:
        raise YearEndRefused(
            _("No season follows {season}: add the one that its unfinished orders go to.").format(season=preview.season)
        )
    if wrong := preview.wrong_with(choices):
        more = _("{n} more are in the way.").format(n=len(wrong) - 1) if len(wrong) > 1 else ""
        raise YearEndRefused(f"{wrong[0].words} {more}".rstrip())
    known = {row.order.pk for row in preview.unfinished}
    if gone := set(choices.orders) - known:
        raise YearEndRefused(
            _("{n} of the orders to carry were settled meanwhile: look at the page again.").format(n=len(gone))
        )
    if set(choices.again) - {order.pk for order in preview.again}:
        raise YearEndRefused(_("One of last year's orders is on winter's list already: look at the page again."))
    return preview.into


def go_on(row: YearEnd, *, real_now: datetime) -> YearEnd:
    """Let the worker go on with one that was stopped. Raises YearEndRefused while it is under way."""
    free = YearEnd.objects.filter(pk=row.pk, state=State.STOPPED)
    # Beside a clock that was set back, a heartbeat to come is as silent as an old one.
    silent = YearEnd.objects.filter(pk=row.pk, state__in=[State.RUNNING, State.QUEUED]).exclude(
        heartbeat_at__range=(real_now - SILENT_FOR, real_now + SILENT_FOR)
    )
    with transaction.atomic():
        again = {"state": State.QUEUED, "trouble": "", "heartbeat_at": real_now}
        if free.update(**again) + silent.update(**again) != 1:
            raise YearEndRefused(_("It is under way, or over: there is nothing to go on with."))
        ask_to_end_season(row.pk)
    row.refresh_from_db()
    return row


def carry_out(year_end_id: int, *, clock: Callable[[], datetime]) -> None:
    """What the worker does. Never twice: one that does not wait any more is left. clock: the machine's."""
    claim = uuid4()
    taken = YearEnd.objects.filter(pk=year_end_id, state=State.QUEUED)
    if taken.update(state=State.RUNNING, claim=claim, heartbeat_at=clock()) != 1:
        return
    row = YearEnd.objects.select_related("season", "into", "again_into", "asked_by").get(pk=year_end_id)
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
    run = _Run(row, claim, yard_clock(yard, real_now=clock()), clock)
    choices = Choices.of_row(row.choices)
    try:
        for number, order in enumerate(choices.again, 1):
            if not _take_again(run, order, number):
                return  # somebody took it back, or another worker has it
        _close(run, choices)
    except (YearEndRefused, OrderRefused, EstimateRefused, SeasonClosed, StaleRow, ValidationError) as refused:
        _take_all_back(run, str(refused))
    except Exception as error:
        YearEnd.objects.filter(pk=row.pk, claim=claim, state=State.RUNNING).update(
            state=State.STOPPED, trouble=_("It stopped: {error}").format(error=error)[:300]
        )
        raise


def _beats(run: _Run, **fields: object) -> bool:
    """Say that it goes on; False where it is not this run's any more."""
    mine = YearEnd.objects.filter(pk=run.row.pk, claim=run.claim, state=State.RUNNING)
    return mine.update(heartbeat_at=run.clock(), **fields) == 1


def _take_again(run: _Run, pk: int, number: int) -> bool:
    """One of last year's orders as an unconfirmed one of the season a year later; one that cannot be says why."""
    assert run.row.again_into is not None
    with transaction.atomic():
        bump_facts()
        if not _beats(run, done=number):
            return False
        if run.row.lines.filter(kind=Kind.AGAIN, order=pk).exists():
            return True
        order = Order.objects.select_related("boat", "package", "to_mooring").get(pk=pk)
        line = YearEndLine(year_end=run.row, kind=Kind.AGAIN, order=order, what=str(order)[:160])
        if SameAgain.objects.filter(order=order, season=run.row.again_into).exists():
            line.left_why = _("it is on winter's list already")
        else:
            try:
                with transaction.atomic():
                    line.copy = list_one(order, run.row.again_into, by=run.row.asked_by, now=run.now)
            except (OrderRefused, ValidationError) as refused:
                line.left_why = " ".join(getattr(refused, "messages", [str(refused)]))[:300]
        line.save()
    return True


def _close(run: _Run, choices: Choices) -> None:
    """All the rest in one: refused as a whole where something came into the way meanwhile."""
    row, by = run.row, run.row.asked_by
    with transaction.atomic():
        bump_facts()
        if not _beats(run, done=row.total):
            return
        preview = preview_of(row.season, today=today_in_yard(run.now))
        if wrong := preview.wrong_with(choices):
            raise YearEndRefused(_("Meanwhile this came into the way: {words}").format(words=wrong[0].words))
        unfinished = {each.order.pk: each.order for each in preview.unfinished}
        _call_done(run, preview)
        for pk in choices.orders:
            if pk in unfinished:
                _move(run, unfinished[pk])
        for repairs in RepairList.objects.filter(pk__in=choices.repairs).order_by("id"):
            _line(run, Kind.REPAIRS, repairs.name, repair_list=repairs)
        for way, before, after in choices.estimates:
            _learn(run, way, before, after)
        season = Season.objects.get(pk=row.season_id)
        season.closed_at = run.now
        sign(season, by=by, now=run.now, reason=_("ended, carried into {into}").format(into=row.into))
        season.save()
        YearEnd.objects.filter(pk=row.pk).update(state=State.DONE, ended_at=run.now)


def _call_done(run: _Run, preview: Preview) -> None:
    for order in preview.finished:
        order.state = Order.State.DONE
        sign(order, by=run.row.asked_by, now=run.now, reason=_("all its work is done"))
        order.save()
        _line(run, Kind.FINISHED, str(order), order=order)


def _move(run: _Run, order: Order) -> None:
    order.season = run.row.into
    sign(order, by=run.row.asked_by, now=run.now, reason=_("carried over from {season}").format(season=run.row.season))
    order.save()
    _line(run, Kind.OPEN_ORDER, str(order), order=order, season_before=run.row.season)


def _learn(run: _Run, pk: int, before: int, after: int) -> None:
    way = PackageWay.objects.select_related("job__package").get(pk=pk)
    assert run.row.asked_by is not None
    accept_estimate(way, seen_min=before, suggested_min=after, by=run.row.asked_by, now=run.now)
    what = f"{way.job.package.name}, {way.job.name}"
    _line(run, Kind.ESTIMATE, what, way=way, before_min=before, after_min=after)


def _line(run: _Run, kind: YearEndLine.Kind, what: str, **fields: object) -> None:
    YearEndLine.objects.create(year_end=run.row, kind=kind, what=what[:160], **fields)


def _take_all_back(run: _Run, why: str) -> None:
    with transaction.atomic():
        bump_facts()
        undo_lines(run.row, by=run.row.asked_by, now=run.now)
        YearEnd.objects.filter(pk=run.row.pk).update(
            state=State.TAKEN_BACK, trouble=why[:300], taken_back_at=run.now, ended_at=run.now
        )
