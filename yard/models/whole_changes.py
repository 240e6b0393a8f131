"""Changes of many rows that are made, and taken back, as a whole; and pairs that are not the same after all."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from yard.models.boats import Boat, Owner


class WholeChange(models.Model):
    """Two boats or owners found to be one, or a boat sold: many rows changed at once, and taken back at once.

    boat, owner: the one that stays, or is sold. gone: the id of the one that was merged into it. rows: [{model, pk,
    before, after}] in the order of writing: `before` is null for a row that was made, `after` for one that was
    deleted, else both hold the fields that were written.
    """

    class Kind(models.TextChoices):
        BOATS_MERGED = "boats", "two boats merged"
        OWNERS_MERGED = "owners", "two owners merged"
        SOLD = "sold", "sold"

    kind = models.CharField(max_length=6, choices=Kind)
    says = models.CharField(max_length=300)
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="whole_changes")
    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.CASCADE, related_name="whole_changes")
    gone = models.PositiveBigIntegerField(null=True, blank=True)
    rows = models.JSONField(default=list)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="whole_changes"
    )
    made_at = models.DateTimeField()
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="whole_changes_taken_back",
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)
    form_key = models.UUIDField(
        null=True, blank=True, unique=True, editable=False, help_text="of its form: the same form sent twice is one"
    )

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="owners", owner__isnull=False, boat=None)
                | (~Q(kind="owners") & Q(boat__isnull=False, owner=None)),
                name="whole_change_is_of_one",
            )
        ]

    def __str__(self) -> str:
        return self.says


class ToldApart(models.Model):
    """Two boats or owners that look like one, and of which somebody said that they are two. one < other: their ids."""

    class Of(models.TextChoices):
        BOATS = "boats", "boats"
        OWNERS = "owners", "owners"

    of = models.CharField(max_length=6, choices=Of)
    one = models.PositiveBigIntegerField()
    other = models.PositiveBigIntegerField()
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="told_apart"
    )
    said_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "told apart"
        ordering = ["of", "one", "other"]
        constraints = [
            models.UniqueConstraint(fields=["of", "one", "other"], name="told_apart_once"),
            models.CheckConstraint(condition=Q(one__lt=F("other")), name="told_apart_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.of} {self.one} and {self.other} are two"
