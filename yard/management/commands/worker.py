"""The background worker. `manage.py serve` starts it; by itself it is for a service manager of one's own."""

import logging

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from yard.management.background import AnotherWorker, new_worker, only_worker, work


class Command(BaseCommand):
    help = "Run the background worker: it makes plans. One worker to a data folder; a second refuses to start."

    def add_arguments(self, parser) -> None:
        parser.add_argument("--batch", action="store_true", help="end when there is nothing left to do")

    def handle(self, *, batch: bool, **options) -> None:
        logging.getLogger("django_tasks_db").setLevel(logging.ERROR)  # it warns of each ordinary end
        try:
            with only_worker(settings.DATA_DIR / "worker.lock"):
                worker = new_worker(batch=batch)
                worker.configure_signals()
                work(worker)
        except AnotherWorker:
            raise CommandError(
                "A worker runs already on this data folder, and there is one at a time. If you did not start it"
                " yourself, manage.py serve did."
            ) from None
