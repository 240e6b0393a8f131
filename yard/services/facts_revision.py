"""The count of changed facts: a plan says which count it read, so that an older plan is known as such."""

from django.db import transaction
from django.db.models import F

from yard.models import FactsRevision
from yard.tasks import ask_to_refresh_calendars


def bump_facts() -> int:
    """Raise the count by one and give it. Call it first in the transaction that changes a fact.

    The row is locked until that transaction ends, so that writers of facts come one after another. Then the worker is
    asked to tell calendars, so that their next reader need not wait for it.
    """
    with transaction.atomic():
        transaction.on_commit(ask_to_refresh_calendars)
        if FactsRevision.objects.filter(pk=1).update(count=F("count") + 1) != 1:
            FactsRevision.objects.create(pk=1, count=1)
        return FactsRevision.objects.values_list("count", flat=True).get(pk=1)


def lock_facts() -> None:
    """Take the same lock without a new count, to read what no writer changes until the transaction ends."""
    FactsRevision.objects.filter(pk=1).update(count=F("count"))
