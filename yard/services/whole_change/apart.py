"""Two that look like one and are two: said once, and hinted at no more."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User

from yard.models import Boat, Owner, ToldApart


def tell_apart(one: Boat | Owner, other: Boat | Owner, *, by: User, now: datetime) -> ToldApart:
    """Saying it twice is saying it once."""
    of = ToldApart.Of.BOATS if isinstance(one, Boat) else ToldApart.Of.OWNERS
    low, high = sorted((one.pk, other.pk))
    row, _ = ToldApart.objects.get_or_create(of=of, one=low, other=high, defaults={"said_by": by, "said_at": now})
    return row
