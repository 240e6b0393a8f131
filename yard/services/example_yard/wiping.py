"""Whether a database holds the example yard, another yard, or none; and taking the example away."""

from __future__ import annotations

from django.apps import apps
from django.db import transaction

from yard.models import Boat, FactsRevision, Order, Person, Place, YardSettings


class ExampleRefused(Exception):
    """There is a yard that is not an example; nothing was written."""


def is_example() -> bool:
    """Only an example yard has a clock of its own."""
    return YardSettings.objects.filter(clock_frozen_at__isnull=False).exists()


def refuse_another_yard() -> None:
    """Raises ExampleRefused where a yard is kept that is not an example."""
    if is_example():
        return
    if YardSettings.objects.exists() or any(model.objects.exists() for model in (Boat, Order, Person, Place)):
        raise ExampleRefused(
            "There is a yard in this database already, and an example is never written over it:"
            " name another database with DATABASE_URL, or another folder with YARD_DATA."
        )


@transaction.atomic
def take_away() -> None:
    """Delete every row of the example yard, histories, plans and letters too; accounts stay.

    The count of changed facts begins anew: every yard has that row from its first migration on, and whoever saves
    a plan waits in turn at it.  Raises ExampleRefused for a yard that is not an example.
    """
    refuse_another_yard()
    # Foreign keys are checked at the end of the transaction, so the order does not matter.
    for model in apps.get_app_config("yard").get_models(include_auto_created=True):
        rows = model._base_manager.all()
        rows._raw_delete(rows.db)
    FactsRevision.objects.create(pk=1, count=0)
