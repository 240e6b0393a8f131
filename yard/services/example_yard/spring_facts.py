"""What came in between January and May: permits, tackle, cloth, the gauge each morning; and what came late."""

from __future__ import annotations

import random
from datetime import date, datetime, time, timedelta

import numpy as np

from yard.models import Closure, Fact, FactKind, GaugeReading, Mooring, YardSettings
from yard.services.example_yard.pen import Pen
from yard.services.example_yard.spring import Lived
from yard.services.read_problem import tide_at

LATE_FACTS = 2
GAUGE_DAYS = 28


def write_facts(lived: Lived, rng: random.Random, pen: Pen) -> None:
    """Facts told for a day that has passed are here, but for a few that hold nothing up which has begun."""
    today = lived.now.astimezone(pen.zone).date()
    due = list(
        Fact.objects.filter(state=Fact.State.EXPECTED, expected_date__lte=today).prefetch_related("jobs").order_by("id")
    )
    begun = lived.begun
    waiting = [
        fact
        for fact in due
        if fact.expected_date is not None
        and fact.expected_date > today - timedelta(days=30)
        and not begun & {job.pk for job in fact.jobs.all()}
    ]
    late = {fact.pk for fact in rng.sample(waiting, min(LATE_FACTS, len(waiting)))}
    moorings = {mooring.permit_boat_id: mooring for mooring in Mooring.objects.filter(permit_boat__isnull=False)}
    changed: dict[int, Mooring] = {}
    for fact in due:
        told_for = fact.expected_date
        assert told_for is not None
        if fact.pk in late:
            fact.expected_date = today + timedelta(days=rng.randint(5, 12))
            fact.note = f"was told for {told_for:%-d %B}"
            fact.set_at = lived.now - timedelta(days=1)
            continue
        fact.state, fact.expected_date, fact.guess = Fact.State.HERE, None, False
        fact.set_at = pen.moment(told_for, time(12))
        if (
            fact.boat_id is not None
            and fact.boat_id in moorings
            and fact.kind in (FactKind.PERMIT, FactKind.TACKLE_SET)
        ):
            mooring = changed[fact.boat_id] = moorings[fact.boat_id]
            if fact.kind == FactKind.PERMIT:
                mooring.permit_expires_on = date(today.year, 12, 31)
            else:
                mooring.tackle_set_on = told_for
    pen.update(due, ["state", "expected_date", "guess", "set_at", "note"], lived.now)
    pen.update(list(changed.values()), ["tackle_set_on", "permit_expires_on"], lived.now)


def write_gauge(now: datetime, rng: random.Random, pen: Pen) -> None:
    """The yard's gauge each morning of the last weeks: the prediction, and what wind and river made of it."""
    tide = tide_at(YardSettings.objects.get(pk=1), "ramp")
    today = now.astimezone(pen.zone).date()
    residual = 0.0
    readings = []
    for back in range(GAUGE_DAYS, -1, -1):
        day = today - timedelta(days=back)
        residual = 0.7 * residual + rng.gauss(0.0, 0.05)
        if day.weekday() > 4:
            continue
        at = pen.moment(day, time(7, rng.choice([15, 30, 45])))
        predicted = float(tide.heights_m(np.array([at.timestamp()]))[0])
        readings.append(
            GaugeReading(
                at=at,
                observed_m_above_datum=round(predicted + residual, 2),
                predicted_m_above_datum=round(predicted, 2),
                read_by=pen.by,
            )
        )
    pen.insert(readings, now)


def write_gale(now: datetime, pen: Pen) -> None:
    """A gale is forecast for tomorrow: somebody suggests that all outdoor work be closed, and nobody has decided."""
    tomorrow = now.astimezone(pen.zone).date() + timedelta(days=1)
    pen.insert(
        [
            Closure(
                covers=Closure.Covers.OUTDOORS,
                starts_at=pen.moment(tomorrow, time(7)),
                ends_at=pen.moment(tomorrow, time(17)),
                reason="gale from the north-east forecast",
                made_by=pen.by,
                made_at=now - timedelta(hours=1),
            )
        ],
        now,
    )
