"""Estimates of hours that were changed to what was measured."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models.packages import PackageWay


class EstimateChange(models.Model):
    """A package's estimate that a person changed; rows are added, not changed. jobs: finished ones it rests on."""

    way = models.ForeignKey(PackageWay, on_delete=models.CASCADE, related_name="changes")
    before_min = models.PositiveIntegerField()
    after_min = models.PositiveIntegerField()
    jobs = models.PositiveIntegerField()
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="estimates_changed"
    )
    changed_at = models.DateTimeField()

    class Meta:
        ordering = ["-changed_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(before_min__gt=0) & Q(after_min__gt=0), name="estimate_change_takes_time"
            )
        ]

    def __str__(self) -> str:
        return _("{job}: {before_min} min, now {after_min} min").format(
            job=self.way.job, before_min=self.before_min, after_min=self.after_min
        )
