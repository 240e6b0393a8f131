"""manage.py check_plan: check a stored plan from its rows, against the facts and the water as they are now."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.models import Plan
from yard.services.check_plan import check_stored
from yard.services.read_problem import YardNotReady


class Command(OnTables):
    help = "Checks a stored plan (the newest, or the one named) and ends with 1 if any rule is broken."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--plan", type=int, help="the row id of a plan; the newest without it")
        parser.add_argument("--json", action="store_true", help="print the faults as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        plan = (
            Plan.objects.filter(pk=options["plan"]).first() if options["plan"] else Plan.objects.order_by("-pk").first()
        )
        if plan is None:
            raise CommandError(_("There is no such plan: make one first with manage.py plan_season."))
        try:
            found = check_stored(plan)
        except YardNotReady as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            self.stdout.write(json.dumps({"plan": plan.pk, "faults": [asdict(fault) for fault in found]}))
        else:
            for fault in found:
                self.stdout.write(f"{fault.rule}: {fault.message}")
            self.stdout.write(
                _("{plan}: {count} faults").format(plan=plan, count=len(found))
                if found
                else _("{plan}: no rule broken").format(plan=plan)
            )
        if found:
            sys.exit(1)
