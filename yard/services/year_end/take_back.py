"""A season's end undone as a whole: what it carried goes back, and the season is open."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import EstimateChange, Job, Order, PackageWay, SameAgain, Season, SeasonClosed, YearEnd, YearEndLine
from yard.services.change_order import Sender, withdraw
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign
from yard.services.year_end.choices import YearEndRefused

State, Kind = YearEnd.State, YearEndLine.Kind
STILL_AT_IT = timedelta(seconds=10)


def take_back_end(row: YearEnd, *, why: str, by: User, now: datetime, real_now: datetime) -> tuple[str, ...]:
    """Open the season and undo what was carried; gives what stays as it is, in words, because it was changed since.

    Raises YearEndRefused: no reason, taken back already, under way, or the season it went into is closed.
    """
    if not why.strip():
        raise YearEndRefused(_("Say why it is taken back: the season's history keeps it."))
    with transaction.atomic():
        bump_facts()
        fresh = YearEnd.objects.select_related("season", "into").get(pk=row.pk)
        if fresh.state == State.TAKEN_BACK:
            raise YearEndRefused(_("Somebody took it back already."))
        beats = fresh.heartbeat_at is not None and abs(real_now - fresh.heartbeat_at) < STILL_AT_IT
        if fresh.state == State.RUNNING and beats:
            raise YearEndRefused(_("It is under way: wait until it is over, then take it back."))
        if later := fresh.season.year_ends.filter(state=State.DONE, pk__gt=fresh.pk).first():
            raise YearEndRefused(_("{season} was ended again since: take that back first.").format(season=later.season))
        _open(fresh.season, why, by, now)
        try:
            stays = undo_lines(fresh, by=by, now=now)
        except SeasonClosed as closed:
            raise YearEndRefused(
                _("What was carried lies in a season that is closed by now. {closed}").format(closed=closed)
            ) from closed
        gone = {"taken_back_by": by, "taken_back_at": now, "taken_back_why": why.strip()[:200]}
        YearEnd.objects.filter(pk=fresh.pk).update(state=State.TAKEN_BACK, **gone)
    return stays


def undo_lines(row: YearEnd, *, by: User | None, now: datetime) -> tuple[str, ...]:
    """Undo each line, the last first; gives what was changed since and stays. Call it in a transaction."""
    stays = []
    for line in row.lines.select_related("order", "copy", "season_before", "way").order_by("-id"):
        if words := _undo(line, row, by, now):
            stays.append(words)
    return tuple(stays)


def _open(season: Season, why: str, by: User, now: datetime) -> None:
    if season.closed_at is None:
        return
    season.closed_at = None
    sign(season, by=by, now=now, reason=_("its end taken back: {why}").format(why=why.strip()))
    season.save()


def _undo(line: YearEndLine, row: YearEnd, by: User | None, now: datetime) -> str:
    """What could not be undone, "" where it was."""
    order, copy, way = line.order, line.copy, line.way
    match line.kind:
        case Kind.FINISHED if order is not None and order.state == Order.State.DONE:
            order.state = Order.State.OPEN
            _save(order, _("its season's end taken back"), by, now)
        case Kind.OPEN_ORDER if order is not None:
            if order.season_id != row.into_id:
                return _("{order} was moved on to another season.").format(order=order)
            order.season = line.season_before
            _save(order, _("back in {season}").format(season=line.season_before), by, now)
        case Kind.AGAIN if copy is not None and order is not None:
            return _withdraw(order, copy, by, now)
        case Kind.ESTIMATE if way is not None and line.before_min is not None:
            return _unlearn(line, way, by, now)
    return ""


def _save(order: Order, reason: str, by: User | None, now: datetime) -> None:
    sign(order, by=by, now=now, reason=reason)
    order.save()


def _withdraw(order: Order, copy: Order, by: User | None, now: datetime) -> str:
    begun = copy.jobs.exclude(state__in=[Job.State.OPEN, Job.State.CANCELLED]).exists()
    if copy.state == Order.State.OPEN and (begun or not copy.unconfirmed):
        words = (
            _("{order} was begun meanwhile and stays.") if begun else _("{order} was confirmed meanwhile and stays.")
        )
        return words.format(order=copy)
    if copy.state == Order.State.OPEN:
        withdraw(copy, reason=_("its season's end taken back"), sender=Sender(by, now, copy.version))
    SameAgain.objects.filter(order=order, copy=copy, state=SameAgain.State.LISTED).delete()
    return ""


def _unlearn(line: YearEndLine, way: PackageWay, by: User | None, now: datetime) -> str:
    assert line.before_min is not None
    assert line.after_min is not None
    if way.duration_min != line.after_min:
        return _("The hours of {what} were changed since and stay.").format(what=line.what)
    EstimateChange.objects.create(
        way=way, before_min=line.after_min, after_min=line.before_min, jobs=0, changed_by=by, changed_at=now
    )
    way.duration_min = line.before_min
    way.save(update_fields=["duration_min"])
    return ""
