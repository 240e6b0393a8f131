"""manage.py example_problem: the example yard's January as the planner reads it, as JSON on standard output.

Nothing stays in the database: the yard is made, read and taken back in one transaction. It is refused where another
yard is kept.
"""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.apps import apps
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction
from django.test.utils import override_settings

from yard.models import YardSettings
from yard.planning.problem import write_problem_json
from yard.services.example_yard import ExampleRefused, build_example
from yard.services.read_problem import read_problem


class Command(BaseCommand):
    help = "Writes the Problem of the example yard, as of January, to standard output; the database stays as it is."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--size", choices=["S", "M", "L"], default="S")
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args: Any, **options: Any) -> None:
        _make_tables_if_there_are_none()
        try:
            with transaction.atomic():
                build_example(options["size"], options["seed"], "winter")
                now = YardSettings.objects.get(pk=1).clock_frozen_at
                assert now is not None  # the example yard has a clock of its own
                text = write_problem_json(read_problem(now=now).problem).decode()
                transaction.set_rollback(True)
        except ExampleRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(text)


def _make_tables_if_there_are_none() -> None:
    """For a new database that ends with the process: straight from the models, which takes a moment."""
    if YardSettings._meta.db_table in connection.introspection.table_names():
        return
    with override_settings(MIGRATION_MODULES={app.label: None for app in apps.get_app_configs()}):
        call_command("migrate", run_syncdb=True, verbosity=0)
