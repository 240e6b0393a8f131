"""Who works in the background just now, and when the yard was last written into a backup: signs of life, no facts."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class WorkerLease(models.Model):
    """One background worker at work. While its row is there, what it has in hand is nobody else's.

    key: stands last in the worker_ids of each task that it has in hand.  heartbeat_at: by the database's own clock,
    so that machines whose clocks differ agree on who is alive.  Written by yard.services.leases alone.
    """

    key = models.CharField(max_length=64, unique=True)
    machine = models.CharField(max_length=80)
    process = models.PositiveBigIntegerField(help_text=gettext_lazy("its number on that machine"))
    began_at = models.DateTimeField()
    heartbeat_at = models.DateTimeField()

    class Meta:
        ordering = ["began_at", "id"]

    def __str__(self) -> str:
        return _("worker {process} on {machine}").format(process=self.process, machine=self.machine)


class LastBackup(models.Model):
    """One row, id 1: the newest backup that was written, read again and found whole."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    made_at = models.DateTimeField()

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="last_backup_one_row")]

    def __str__(self) -> str:
        return _("backup of {made_at} UTC").format(made_at=f"{self.made_at:%Y-%m-%d %H:%M}")
