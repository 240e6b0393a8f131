"""What owners were told so far: a week, then a day with a reserve, then firm, then done."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime, time, timedelta

from yard.models import Fact, Job, Order, Owner, Plan, PlannedJob, Telling, YardSettings
from yard.services.example_yard.pen import Pen

TOLD_OF = ("spring_commissioning", "canvas_order", "cushions", "furler", "new_boat_delivery")
"""Packages whose owners wait for a day; of a halyard or a torn sail they hear when it is done."""
FIRST_TOLD = date(2027, 1, 15)


def write_tellings(plan: Plan, now: datetime, pen: Pen) -> None:
    """Each owner as the yard's rules say, from the plan that was posted. Canvas is not firm before its cloth is in."""
    yard = YardSettings.objects.get(pk=1)
    rows = defaultdict(list)
    for row in plan.planned_jobs.select_related("job").order_by("ends_at", "id"):
        rows[row.job.order_id].append(row)
    orders = (
        Order.objects.filter(pk__in=rows, package__key__in=TOLD_OF, boat__isnull=False)
        .select_related("boat")
        .prefetch_related("boat__owners", "jobs__facts")
        .order_by("id")
    )
    tellings: list[Telling] = []
    for number, order in enumerate(orders):
        tellings += _of_order(order, rows[order.pk], number, plan, yard, now, pen)
    pen.insert(sorted(tellings, key=lambda telling: telling.told_at), now)


def _of_order(
    order: Order, planned: list[PlannedJob], number: int, plan: Plan, yard: YardSettings, now: datetime, pen: Pen
) -> list[Telling]:
    last = planned[-1]
    day = last.ends_at.astimezone(pen.zone).date()
    monday = day - timedelta(days=day.weekday())
    week_at = pen.moment(FIRST_TOLD, time(9)) + timedelta(minutes=7 * number)
    day_at = pen.moment(max(FIRST_TOLD, day - timedelta(days=yard.day_told_days_before)), time(15, number % 60))
    firm_at = last.starts_at - timedelta(hours=yard.firm_told_hours_before)
    found = [_telling(order, plan, pen, Telling.State.PROVISIONAL_WEEK, monday, week_at)]
    if week_at < day_at <= now:
        found.append(_telling(order, plan, pen, Telling.State.PROVISIONAL_DAY, day, day_at))
    if day_at < firm_at <= now and _all_here(order):
        found.append(_telling(order, plan, pen, Telling.State.FIRM, day, firm_at))
    if last.job.state == Job.State.DONE and last.job.actual_ends_at is not None:
        found.append(_telling(order, plan, pen, Telling.State.DONE, day, last.job.actual_ends_at))
    return found


def _all_here(order: Order) -> bool:
    return all(fact.state == Fact.State.HERE for job in order.jobs.all() for fact in job.facts.all())


def _telling(order: Order, plan: Plan, pen: Pen, state: Telling.State, day: date, at: datetime) -> Telling:
    assert order.boat is not None
    owner: Owner = order.boat.owners.all()[0]
    reserve = _reserve(day) if state in (Telling.State.PROVISIONAL_DAY, Telling.State.FIRM) else None
    return Telling(
        order=order,
        boat=order.boat,
        owner=owner,
        state=state,
        told_date=day,
        reserve_date=reserve,
        how=owner.prefers,
        said=_words(order, state, day, reserve),
        told_by=pen.by,
        told_at=at,
        plan=plan,
    )


def _reserve(day: date) -> date:
    """The next weekday."""
    return day + timedelta(days=3 if day.weekday() == 4 else 2 if day.weekday() == 5 else 1)


def _words(order: Order, state: Telling.State, day: date, reserve: date | None) -> str:
    what = f"{order.name} for {order.boat}"
    spoken = f"{day:%A} {day.day} {day:%B}"
    match state:
        case Telling.State.PROVISIONAL_WEEK:
            return f"{what}: we plan it for the week of {spoken}. Two weeks before we tell you the day."
        case Telling.State.PROVISIONAL_DAY:
            assert reserve is not None
            return f"{what}: we plan it for {spoken}; the reserve day is {reserve:%A} {reserve.day} {reserve:%B}."
        case Telling.State.FIRM:
            return f"{what}: firm for {spoken}, weather allowing."
        case _:
            return f"{what}: done on {spoken}."
