"""Changes of many rows that are made, and taken back, as a whole; and pairs that are not the same after all."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.boats import Boat, Owner
from yard.models.spoken import Spoken


class WholeChange(Spoken):
    """Two boats or owners found to be one, or a boat sold: many rows changed at once, and taken back at once.

    boat, owner: the one that stays, or is sold. gone: the id of the one that was merged into it. rows: [{model, pk,
    before, after}] in the order of writing: `before` is null for a row that was made, `after` for one that was
    deleted, else both hold the fields that were written.
    """

    class Kind(models.TextChoices):
        BOATS_MERGED = "boats", gettext_lazy("two boats merged")
        OWNERS_MERGED = "owners", gettext_lazy("two owners merged")
        SOLD = "sold", gettext_lazy("sold")

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
        null=True,
        blank=True,
        unique=True,
        editable=False,
        help_text=gettext_lazy("of its form: the same form sent twice is one"),
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


class SaleToCome(models.Model):
    """A boat that will change hands on a day to come: what was agreed, until that day, or until it is called off.

    buyer: an owner on file; else new_owner has the values of one. agreed: the rest of yard.services.whole_change.sale
    .Sale as JSON. why_not: why it could not be carried out when its day had come; a person must look at it.
    """

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="sales_to_come")
    sold_on = models.DateField()
    buyer = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.CASCADE, related_name="sales_to_come")
    new_owner = models.JSONField(default=dict, blank=True)
    agreed = models.JSONField(default=dict)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="sales_to_come"
    )
    made_at = models.DateTimeField()
    called_off_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="sales_called_off"
    )
    called_off_at = models.DateTimeField(null=True, blank=True)
    change = models.OneToOneField(
        WholeChange, null=True, blank=True, on_delete=models.SET_NULL, related_name="agreed_before"
    )
    carried_out_at = models.DateTimeField(null=True, blank=True)
    why_not = models.CharField(max_length=300, blank=True)
    form_key = models.UUIDField(
        null=True,
        blank=True,
        unique=True,
        editable=False,
        help_text=gettext_lazy("of its form: the same form sent twice is one"),
    )

    class Meta:
        verbose_name_plural = gettext_lazy("sales to come")
        ordering = ["sold_on", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["boat"],
                condition=Q(called_off_at=None, carried_out_at=None),
                name="sale_to_come_one_that_waits",
                violation_error_message=gettext_lazy("A sale of hers is agreed already: call that one off first."),
            )
        ]

    def __str__(self) -> str:
        return _("{boat} sold on {sold_on}").format(boat=self.boat, sold_on=f"{self.sold_on:%Y-%m-%d}")

    @property
    def waits(self) -> bool:
        return self.called_off_at is None and self.carried_out_at is None

    @property
    def buyer_name(self) -> str:
        return self.buyer.name if self.buyer is not None else str(self.new_owner.get("name", ""))


class ToldApart(Spoken):
    """Two boats or owners that look like one, and of which somebody said that they are two. one < other: their ids."""

    class Of(models.TextChoices):
        BOATS = "boats", gettext_lazy("boats")
        OWNERS = "owners", gettext_lazy("owners")

    of = models.CharField(max_length=6, choices=Of)
    one = models.PositiveBigIntegerField()
    other = models.PositiveBigIntegerField()
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="told_apart"
    )
    said_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = gettext_lazy("told apart")
        ordering = ["of", "one", "other"]
        constraints = [
            models.UniqueConstraint(fields=["of", "one", "other"], name="told_apart_once"),
            models.CheckConstraint(condition=Q(one__lt=F("other")), name="told_apart_in_order"),
        ]

    def __str__(self) -> str:
        return _("{of} {one} and {other} are two").format(of=self.of, one=self.one, other=self.other)
