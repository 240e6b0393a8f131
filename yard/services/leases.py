"""Leases of background workers: taken at the start, renewed while they live, ended by themselves or by running out.

A task that is in hand names the lease under which it was claimed. As long as that lease stands, nobody else touches
the task; once it is gone, yard.services.left_behind settles what hung on it. All times are the database's, so that the
clocks of machines need not agree.
"""

from __future__ import annotations

import secrets
from datetime import timedelta

from django.db.models.functions import Now

from yard.models import WorkerLease

LEASE = timedelta(seconds=60)
"""So long after its last sign a worker counts as dead."""
CLAIMS_WITHIN = LEASE / 2
"""A worker whose last sign is older takes up nothing new: there must be time left to say that it lives."""


class LeaseLost(Exception):
    """This worker gave no sign for so long that its lease was ended: what it had in hand is settled by others."""


def take_lease(machine: str, process: int) -> str:
    """A new lease, and its key. A worker that starts again takes another: what hung on the former is settled."""
    key = f"{machine[:30]}-{process}-{secrets.token_hex(8)}"
    WorkerLease.objects.create(key=key, machine=machine[:80], process=process, began_at=Now(), heartbeat_at=Now())
    return key


def renew(key: str) -> None:
    """Say that its worker lives. Raises LeaseLost where the lease was ended."""
    if WorkerLease.objects.filter(key=key).update(heartbeat_at=Now()) != 1:
        raise LeaseLost(key)


def may_claim(key: str) -> bool:
    """Whether its worker may take up something now. To be asked in the transaction that claims it.

    The row stays locked until that transaction ends, so that nobody ends the lease between the two.
    Raises LeaseLost where it was ended already.
    """
    held = WorkerLease.objects.select_for_update().filter(key=key)
    if held.filter(heartbeat_at__gte=Now() - CLAIMS_WITHIN).first() is not None:
        return True
    if not held.exists():
        raise LeaseLost(key)
    return False


def give_back(key: str) -> None:
    """Its worker ends, or starts anew: it has nothing in hand any more."""
    WorkerLease.objects.filter(key=key).delete()


def end_silent() -> int:
    """End the leases of workers that gave no sign for too long. Gives how many."""
    return WorkerLease.objects.filter(heartbeat_at__lt=Now() - LEASE).delete()[0]


def end_all() -> int:
    """End every lease: for a worker that knows itself to be the only one. Gives how many there were."""
    return WorkerLease.objects.all().delete()[0]


def somebody_works() -> bool:
    """Whether any worker gave a sign in time. One query."""
    return WorkerLease.objects.filter(heartbeat_at__gte=Now() - LEASE).exists()
