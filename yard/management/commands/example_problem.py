"""manage.py example_problem: the example yard's season as Problem JSON, on standard output."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from yard.models import YardSettings
from yard.planning.problem import write_problem_json
from yard.services.example_yard import ExampleRefused, build_example
from yard.services.read_problem import read_problem


class Command(BaseCommand):
    help = "Makes the example yard in an empty database and writes its season as Problem JSON."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--size", choices=["S", "M", "L"], default="M")
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        try:
            build_example(options["size"], options["seed"])
        except ExampleRefused as error:
            raise CommandError(str(error)) from error
        clock = YardSettings.objects.get(pk=1).clock_frozen_at
        if clock is None:
            raise CommandError("The example yard has no clock of its own.")
        self.stdout.write(write_problem_json(read_problem(now=clock).problem).decode())
