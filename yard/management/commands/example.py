"""manage.py example: an invented yard to look at, with sign-ins for each role."""

from __future__ import annotations

import os
import secrets
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import Group, User
from django.core.management.base import BaseCommand, CommandError

from yard.services.example_yard import ExampleRefused, build_example

SIGN_INS = {"ada": "planner", "ben": "crew", "cy": "office", "dee": "viewer"}


class Command(BaseCommand):
    help = "Makes the example yard in an empty database: an invented yard on a real tide, in January, nothing done."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--size", choices=["S", "M", "L"], default="M", help="25, 100 or 300 boats")
        parser.add_argument("--seed", type=int, default=1, help="one seed, one yard")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            built = build_example(options["size"], options["seed"])
        except ExampleRefused as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"The example yard has {built.boats} boats, {built.orders} orders with {built.jobs} jobs,"
            f" and {built.people} people."
        )
        password = os.environ.get("YARD_EXAMPLE_PASSWORD") or secrets.token_urlsafe(9)
        for name, role in SIGN_INS.items():
            user, _ = User.objects.get_or_create(username=name, defaults={"first_name": name.capitalize()})
            user.set_password(password)
            user.save()
            user.groups.set(Group.objects.filter(name=role))
        self.stdout.write(f"Sign in as ada (planner), ben (crew), cy (office) or dee (viewer); password: {password}")
