"""manage.py promise: simulate the plan on the wall and store how sure each day is."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.management.on_tables import OnTables
from yard.models import DayOdds, YardSettings
from yard.promise.odds import DEFAULT_SCENARIOS
from yard.queries.clock import yard_clock
from yard.queries.odds import days_of
from yard.services.read_problem import YardNotReady
from yard.services.tell_odds import NoPlanPosted, tell_odds
from yard.speech import number


class Command(OnTables):
    help = "Simulates the posted plan many times and stores the odds of its fittings, launches and deliveries."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--scenarios", type=int, default=DEFAULT_SCENARIOS)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--json", action="store_true", help="print the days as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
        now = yard_clock(yard, real_now=timezone.now())
        try:
            row = tell_odds(now=now, seed=options["seed"], scenarios=options["scenarios"])
        except (NoPlanPosted, YardNotReady, ValueError) as error:
            raise CommandError(str(error)) from error
        days = list(days_of(row))
        if options["json"]:
            self.stdout.write(json.dumps([_plain(day) for day in days]))
            return
        for day in days:
            self.stdout.write(_line(day))
        self.stdout.write(
            _("{scenarios} scenarios in {seconds} s; rests on {rests_on}.").format(
                scenarios=row.scenarios, seconds=number(row.seconds, 1), rests_on=row.rests_on
            )
        )


def _plain(day: DayOdds) -> dict[str, Any]:
    shown = {name: getattr(day, name) for name in ("planned_date", "day_50", "day_80", "day_90", "day_95")}
    dates = {name: None if value is None else value.isoformat() for name, value in shown.items()}
    return {
        "order": day.order.ref,
        "milestone": day.milestone,
        **dates,
        "chance_kept": day.chance_kept,
        "drivers": day.drivers,
    }


def _line(day: DayOdds) -> str:
    who = day.order.boat.name if day.order.boat is not None else day.order.walk_in_name
    columns = f"{who:<20.20} {day.get_milestone_display():<15} "
    dates = {
        "planned": said(day.planned_date, "d M"),
        "later": said(day.day_90, "d M") if day.day_90 is not None else _("beyond the calendar"),
    }
    if day.chance_kept is None:
        return columns + _("planned {planned}, 9 in 10 by {later}").format(**dates)
    return columns + _("planned {planned}, 9 in 10 by {later}  promised day kept {chance} in 100").format(
        **dates, chance=f"{100 * day.chance_kept:.0f}"
    )
