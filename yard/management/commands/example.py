"""manage.py example: an invented yard to look at, with a sign-in for each role."""

from __future__ import annotations

import os
import secrets
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.services.example_yard import ExampleNotPlanned, ExampleRefused, build_example, is_example
from yard.services.example_yard.sign_ins import SIGN_INS, open_sign_ins
from yard.speech import number


class Command(OnTables):
    help = (
        "Makes the example yard: invented boats and people on a real tide, with a clock of its own that stands in"
        " May 2027, or in January or October with nothing planned. An example that is here already is made anew;"
        " another yard is never touched."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--size", choices=["S", "M", "L"], default="M", help="25, 100 or 300 boats")
        parser.add_argument(
            "--day",
            choices=["may", "winter", "october"],
            default="may",
            help="Thu 6 May, 14 January or 7 October 2027",
        )
        parser.add_argument("--seed", type=int, default=1, help="one seed, one yard")
        parser.add_argument("--rounds", type=int, help="how long January's plan is searched (for --day may)")
        parser.add_argument("--keep", action="store_true", help="leave an example yard that is here already as it is")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["keep"] and is_example():
            self.stdout.write(_("The example yard is here already and is left as it is."))
            return
        if options["day"] == "may":
            self.stdout.write(_("Planning the example's spring and living through it; this takes a minute or two."))
        try:
            built = build_example(
                options["size"],
                options["seed"],
                options["day"],
                by=User.objects.filter(username="ada").first(),
                rounds=options["rounds"],
                past=True,
            )
        except (ExampleRefused, ExampleNotPlanned) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            _(
                "The example yard has {boats} boats, {orders} orders with {jobs} jobs, and {people} people. The "
                "tightest group of skills is loaded to {ratio}."
            ).format(
                boats=built.boats,
                orders=built.orders,
                jobs=built.jobs,
                people=built.people,
                ratio=number(built.load.ratio, 2),
            )
        )
        self._sign_ins()

    def _sign_ins(self) -> None:
        given = os.environ.get("YARD_EXAMPLE_PASSWORD")
        password = given or secrets.token_urlsafe(12)
        open_sign_ins(password)
        told = _("the one in YARD_EXAMPLE_PASSWORD") if given else password
        names = ", ".join(f"{name} ({role})" for name, role in SIGN_INS.items())
        self.stdout.write(_("Sign in as {names}; the password of all is {told}").format(names=names, told=told))
