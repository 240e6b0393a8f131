"""The count of changed facts: a plan is saved only if no fact changed since it was read."""

from django.db import transaction
from django.db.models import F

from yard.models import FactsRevision


class FactsChanged(Exception):
    """A fact changed since the plan was read; nothing was saved."""

    def __init__(self, seen: int) -> None:
        super().__init__(f"Facts changed since revision {seen} was read: make the plan again.")
        self.seen = seen


def current_revision() -> int:
    """The count of changes so far; 0 where nothing was ever changed."""
    return FactsRevision.objects.filter(pk=1).values_list("count", flat=True).first() or 0


def bump_facts() -> int:
    """Raise the count by one and give it. Call it first in the transaction that changes a fact.

    The row is locked until that transaction ends, so that writers of facts come one after another.
    """
    with transaction.atomic():
        if FactsRevision.objects.filter(pk=1).update(count=F("count") + 1) != 1:
            FactsRevision.objects.create(pk=1, count=1)
        return current_revision()


def claim_revision(seen: int) -> None:
    """Lock the count for this transaction if it still is what was read. Raises FactsChanged."""
    if FactsRevision.objects.filter(pk=1, count=seen).update(count=seen) == 1:
        return
    if seen == 0 and FactsRevision.objects.get_or_create(pk=1)[0].count == 0:
        return
    raise FactsChanged(seen)
