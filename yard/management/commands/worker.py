"""The background worker. `manage.py serve` starts it; by itself it is for a service manager of one's own."""

import logging
from contextlib import nullcontext

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, connection
from django.utils.translation import gettext as _

from yard.management.background import AnotherWorker, new_worker, only_worker, work
from yard.management.database import steps_to_come


class Command(BaseCommand):
    help = (
        "Run a background worker: it makes plans, sends letters, fetches forecasts. Over SQLite one worker to a data"
        " folder, and a second refuses to start; over PostgreSQL as many as you like, on any machine."
    )

    def add_arguments(self, parser) -> None:
        parser.add_argument("--batch", action="store_true", help="end when there is nothing left to do")

    def handle(self, *, batch: bool, **options) -> None:
        logging.getLogger("django_tasks_db").setLevel(logging.ERROR)  # it warns of each ordinary end
        _demand_this_version()
        alone = connection.vendor == "sqlite"
        try:
            with only_worker(settings.DATA_DIR / "worker.lock") if alone else nullcontext():
                worker = new_worker(batch=batch)
                worker.configure_signals()
                work(worker, alone=alone)
        except AnotherWorker:
            raise CommandError(
                _(
                    "A worker runs already on this data folder, and over SQLite there is one at a time. If you did not"
                    " start it yourself, manage.py serve did."
                )
            ) from None


def _demand_this_version() -> None:
    try:
        steps = steps_to_come()
    except OperationalError:
        return  # it is waited for
    if steps:
        raise CommandError(_("The database is of an earlier version: run manage.py migrate first."))
