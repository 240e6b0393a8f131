"""From rows to the news of an order: why it moves, her water, the reserve day, and what the owner must do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from functools import cached_property

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from yard.models import (
    BoatOwner,
    DayOdds,
    Fact,
    FactKind,
    Item,
    Job,
    Plan,
    PlannedJob,
    Telling,
    Trip,
    WaterNeed,
    Whereabouts,
)
from yard.notices.news import News, Road, Situation, Wish
from yard.notices.wording import day_words, listed
from yard.promise.states import Reason as DueReason
from yard.promise.states import State
from yard.queries.letters_due import DueRow
from yard.queries.odds import newest_odds
from yard.queries.owner_pages import brought_days, things_with_owner
from yard.queries.plan_difference import JobMove, job_moves
from yard.services.letters.ground import Ground

FROM_OWNER = frozenset({FactKind.APPROVAL, FactKind.DEPOSIT, FactKind.PERMIT, FactKind.DRAFT})
"""Facts that an owner brings; the others are the yard's to wait for."""
MOVED = frozenset({DueReason.FIRM_BROKEN, DueReason.DAY_MOVED, DueReason.WEEK_MOVED})
DAY_BEFORE = timedelta(days=1)


class NewsOf:
    """The news of due rows. Reasons are read from the plan that was told of and the one on the wall.

    Reads the jobs of these rows with what they wait for: two queries.
    """

    def __init__(self, plan: Plan, ground: Ground, rows: Iterable[DueRow]) -> None:
        self.plan, self.ground = plan, ground
        every = list(rows)
        prefetch_related_objects([row.order for row in every], "jobs__facts")
        self.jobs = frozenset(job.pk for row in every for job in row.order.jobs.all())
        self._boats = sorted({row.order.boat_id for row in every if row.order.boat_id is not None})
        self._moves: dict[int, dict[int, JobMove]] = {}
        self._odds: dict[int, DayOdds] | None = None
        self._trips: dict[int, Trip] | None = None

    def of(self, row: DueRow, owned: BoatOwner | None) -> News:
        assert row.order.boat is not None
        last = row.planned[-1] if row.planned else None
        situation = situation_of(row)
        week = row.due.state is State.PROVISIONAL_WEEK
        day = row.due.date if situation is not Situation.DONE else None
        open_rows = [each for each in row.planned if each.job.state != Job.State.DONE]
        told_day = row.due.state in (State.PROVISIONAL_DAY, State.FIRM, State.WEATHER_HOLD)
        return News(
            order=row.order.pk,
            boat=row.order.boat.name,
            work=_work(row),
            situation=situation,
            day=day,
            week=week and day is not None,
            firm=row.due.state is State.FIRM,
            starts_at=self.ground.local(last.starts_at) if last is not None and told_day else None,
            was=row.last.told_date if row.last is not None else None,
            was_week=row.last is not None and row.last.state == Telling.State.PROVISIONAL_WEEK,
            reason=self._reason(row, last, situation),
            water=next((found for each in reversed(open_rows) if (found := self.ground.water(each))), None)
            if told_day
            else None,
            reserve=self.ground.reserve(last, day) if last is not None and day is not None and told_day else None,
            call_at=self._call(row),
            waits=_waits(row) if situation is not Situation.DONE else (),
            from_owner=self._wishes(row, owned, day) if situation is not Situation.DONE else (),
            could_stop=self.ground.could_stop(_last_days(open_rows)) if told_day else (),
            promised=row.order.promised_date if situation is not Situation.DONE else None,
            lies=self._lies(row) if situation is Situation.DONE else "",
            road=self._road(row) if situation is not Situation.DONE else None,
            odds=self._odds_words(row, day) if self.ground.yard.tells_odds and told_day else "",
        )

    def _call(self, row: DueRow) -> datetime | None:
        at = row.final_call_at
        if at is None or at <= self.ground.now or row.due.state in (State.FIRM, State.PROVISIONAL_WEEK, State.DONE):
            return None
        return self.ground.local(at)

    def _road(self, row: DueRow) -> Road | None:
        if self._trips is None:
            trips = Trip.objects.filter(called_off_at=None, returns_at__gt=self.ground.now)
            self._trips = {trip.order_id: trip for trip in trips}
        trip = self._trips.get(row.order.pk)
        if trip is None:
            return None
        by = trip.check_in_by
        return Road(
            leaves_at=self.ground.local(trip.leaves_at),
            check_in_by=self.ground.local(by) if by is not None and by > trip.leaves_at else None,
        )

    def _reason(self, row: DueRow, last: PlannedJob | None, situation: Situation) -> str:
        """A clause that may stand in an owner's letter: no other boat's name, no name of the crew."""
        if situation is Situation.WEATHER_HOLD:
            closure = self.ground.closure_over(last) if last is not None else None
            return closure.reason if closure is not None else ""
        if situation is Situation.NOT_FIRM:
            return _waiting_for(row.order.jobs.all())
        if situation not in (Situation.MOVED, Situation.NO_DAY) or row.last is None:
            return ""
        before = row.last.plan
        if before is None or before.pk == self.plan.pk:
            return ""
        moves = self._moves_from(before)
        hers = [moves[job.pk] for job in row.order.jobs.all() if job.pk in moves]
        ranked = sorted(hers, key=lambda move: CAUSE_RANK.index(move.why.cause))
        sooner = row.due.date is not None and row.last.told_date is not None and row.due.date < row.last.told_date
        if sooner:  # no other boat pushed her forward
            ranked = [move for move in ranked if move.why.cause != "others"]
        known = next((words for move in ranked if (words := owner_reason(move))), "")
        if known or situation is Situation.NO_DAY:
            return known
        if sooner:
            return _("there is room for that work sooner")
        # No single fact moved it: the plan was made anew, and that is the reason.
        return _("we have planned the weeks anew, to get every boat done in time")

    def _moves_from(self, before: Plan) -> dict[int, JobMove]:
        if before.pk not in self._moves:
            self._moves[before.pk] = job_moves(before, self.plan, self.ground.zone, self.jobs)
        return self._moves[before.pk]

    def _wishes(self, row: DueRow, owned: BoatOwner | None, day: date | None) -> tuple[Wish, ...]:
        wishes = []
        for fact, by in facts_asked(row, self.ground):
            wishes.append(Wish(wish_words(fact), by if by is not None and by >= self.ground.today else None))
        assert row.order.boat is not None
        things, brought = self._brought
        wishes += [
            Wish(_("bring the {item}").format(item=item.name.lower()), brought.get(item.pk))
            for item in things.get(row.order.boat.pk, ())
        ]
        expires = owned.insurance_expires_on if owned is not None else None
        if expires is not None and day is not None and expires < day:
            by = expires if expires > self.ground.today else None
            wishes.append(Wish(_("send us your new certificate of insurance"), by))
        return tuple(wishes)

    @cached_property
    def _brought(self) -> tuple[dict[int, list[Item]], dict[int, date]]:
        """Things that lie with owners, by boat, and the day on which each is brought. Two queries for all rows."""
        things = things_with_owner(self._boats)
        return things, brought_days([item for each in things.values() for item in each], self.ground.today)

    def _lies(self, row: DueRow) -> str:
        """Where a boat that was delivered lies."""
        afloat = any(job.water_need != WaterNeed.NONE for job in row.order.jobs.all())
        last = Whereabouts.objects.filter(boat=row.order.boat).order_by("-since", "-id").first() if afloat else None
        return str(last.mooring) if last is not None and last.mooring is not None else ""

    def _odds_words(self, row: DueRow, day: date | None) -> str:
        if self._odds is None:
            newest = newest_odds()
            rows = newest.days.filter(milestone=DayOdds.Milestone.DONE) if newest is not None else ()
            self._odds = {each.order_id: each for each in rows}
        found = self._odds.get(row.order.pk)
        if found is None or found.planned_date != day or found.day_90 is None:
            return ""
        return _("In nine seasons of ten she is done by {day}.").format(day=day_words(found.day_90))


def situation_of(row: DueRow) -> Situation:
    """Which words: a change of what was told comes before how sure the new date is."""
    match row.due.state:
        case State.DONE:
            return Situation.DONE
        case State.NOTHING:
            return Situation.NO_DAY
        case State.WEATHER_HOLD if row.last is None or row.last.told_date in (None, row.due.date):
            return Situation.WEATHER_HOLD
    if row.due.reason in MOVED and row.last is not None and row.last.told_date is not None:
        if row.last.told_date != row.due.date:
            return Situation.MOVED
        return Situation.NOT_FIRM if row.last.state == Telling.State.FIRM else _plainly(row)
    return _plainly(row)


def _plainly(row: DueRow) -> Situation:
    return {
        State.PROVISIONAL_WEEK: Situation.WEEK,
        State.PROVISIONAL_DAY: Situation.DAY,
        State.FIRM: Situation.FIRM,
        State.WEATHER_HOLD: Situation.WEATHER_HOLD,
    }[row.due.state]


CAUSE_RANK = ("closed", "away", "left_out", "others", "waits", "new", "forward")


def owner_reason(move: JobMove) -> str:
    """Why, as an owner may read it. "" where the plan does not know."""
    match move.why.cause:
        case "closed":
            return _("the weather closed that day ({what})").format(what=move.why.what)
        case "away":
            return _("one of the people it needs was away")
        case "left_out":
            return _waiting_for([move.job])
        case "others" if move.why.boat is not None:
            return _("another boat had to go first that day")
    return ""


def facts_asked(row: DueRow, ground: Ground) -> list[tuple[Fact, date | None]]:
    """Facts that the owner brings, with the last day early enough: the day before the first job that needs it."""
    starts = {each.job_id: ground.local(each.starts_at).date() for each in row.planned}
    found: dict[int, tuple[Fact, date | None]] = {}
    for job in row.order.jobs.all():
        if job.state in (Job.State.DONE, Job.State.CANCELLED):
            continue
        for fact in job.facts.all():
            if fact.state == Fact.State.HERE or fact.kind not in FROM_OWNER:
                continue
            by = starts[job.pk] - DAY_BEFORE if job.pk in starts else None
            known = found.get(fact.pk, (fact, None))[1]
            found[fact.pk] = (fact, min(filter(None, (known, by)), default=None))
    return list(found.values())


def wish_words(fact: Fact) -> str:
    """ "give us your approval of cloth and price", "send us the mooring permit", "tell us her draft" """
    name = fact.name.removeprefix("owner's ").removeprefix("the ")
    match fact.kind:
        case FactKind.APPROVAL:
            return _("give us your {fact}").format(fact=name)
        case FactKind.DEPOSIT:
            return _("pay the {fact}").format(fact=name)
        case FactKind.DRAFT:
            return _("tell us her draft")
        case _:
            return _("send us the {fact}").format(fact=name)


def _waits(row: DueRow) -> tuple[str, ...]:
    """What the yard waits for, and the owner does not bring."""
    found: dict[str, None] = {}
    for job in row.order.jobs.all():
        if job.state not in (Job.State.DONE, Job.State.CANCELLED):
            for fact in job.facts.all():
                if fact.state != Fact.State.HERE and (words := wait_words(fact)):
                    found[words] = None
    return tuple(found)


def _waiting_for(jobs: Iterable[Job]) -> str:
    """A clause; "" where nothing is waited for."""
    waits = {
        wait_words(fact) or _the(fact): None
        for job in jobs
        if job.state not in (Job.State.DONE, Job.State.CANCELLED)
        for fact in job.facts.all()
        if fact.state != Fact.State.HERE
    }
    return _("we are waiting for {waits}").format(waits=listed(list(waits))) if waits else ""


def wait_words(fact: Fact) -> str:
    """ "the cloth"; "" for what an owner brings, and for papers of the yard's own."""
    if fact.kind in FROM_OWNER or fact.kind == FactKind.DATA_SHEET:
        return ""
    if fact.kind == FactKind.TACKLE_SET:
        return _("the tackle of her mooring")
    return _the(fact)


def _the(fact: Fact) -> str:
    """A fact's name is the yard's own word; English names may bring their article."""
    return _("the {fact}").format(fact=fact.name.removeprefix("the "))


def _work(row: DueRow) -> str:
    name = row.order.name
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _last_days(rows: Sequence[PlannedJob]) -> list[PlannedJob]:
    """The jobs that set the date: the launch and all after it, else the last one."""
    launch = next((n for n, each in enumerate(rows) if each.job.water_need != WaterNeed.NONE), None)
    return list(rows[launch:]) if launch is not None else list(rows[-1:])
