"""The count of changed facts: a plan says which count it read, so that an older plan is known as such."""

from django.db import transaction
from django.db.models import F

from yard.models import FactsRevision


def bump_facts() -> int:
    """Raise the count by one and give it. Call it first in the transaction that changes a fact.

    The row is locked until that transaction ends, so that writers of facts come one after another.
    """
    with transaction.atomic():
        if FactsRevision.objects.filter(pk=1).update(count=F("count") + 1) != 1:
            FactsRevision.objects.create(pk=1, count=1)
        return FactsRevision.objects.values_list("count", flat=True).get(pk=1)
