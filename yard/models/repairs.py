"""Repair lists: what was found on a boat or a sail, what it would cost, and what the owner said to each line."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from yard.models.boats import Boat
from yard.models.checks import whole_quarters
from yard.models.kinds import JobKind
from yard.models.orders import Job, Order
from yard.models.records import Photograph
from yard.models.things import Item
from yard.models.versioned import Versioned


class RepairList(Versioned):
    """What was found on a boat, on a thing of hers, or on what a walk-in brought.

    found_in: the order in whose work it was found. work_order: the order that its approved lines became jobs of.
    form_key: of the form it was begun on, so that the same form sent twice is one list.
    """

    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.PROTECT, related_name="repair_lists")
    thing = models.ForeignKey(Item, null=True, blank=True, on_delete=models.SET_NULL, related_name="repair_lists")
    found_in = models.ForeignKey(Order, null=True, blank=True, on_delete=models.PROTECT, related_name="repair_lists")
    work_order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.PROTECT, related_name="from_lists")
    name = models.CharField(max_length=80)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="repair_lists"
    )
    made_at = models.DateTimeField()
    form_key = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(boat__isnull=False) | Q(found_in__isnull=False),
                name="repair_list_is_about_something",
                violation_error_message=_("Name the boat, or the order that it was found in."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class RepairLine(Versioned):
    """One thing to repair. minutes: working time of one person. price: as said, in the yard's money.

    answer: what the owner said; said_by and said_how: who said it and by what way (telephone, in the yard, a link).
    taken_out_at: it was written by mistake, stays on file, and is asked no more. job: what it became.
    """

    class Answer(models.TextChoices):
        NOT_ASKED = "", _("not asked yet")
        ASKED = "asked", _("asked")
        APPROVED = "approved", _("approved")
        DECLINED = "declined", _("declined")

    repair_list = models.ForeignKey(RepairList, on_delete=models.CASCADE, related_name="lines")
    words = models.CharField(max_length=200)
    kind = models.ForeignKey(JobKind, on_delete=models.PROTECT, related_name="repair_lines")
    minutes = models.PositiveIntegerField(validators=[whole_quarters])
    price = models.DecimalField(
        max_digits=9,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0, _("A price is not below nothing."))],
    )
    photograph = models.ForeignKey(
        Photograph, null=True, blank=True, on_delete=models.SET_NULL, related_name="repair_lines"
    )
    answer = models.CharField(max_length=8, choices=Answer, blank=True)
    said_by = models.CharField(max_length=80, blank=True)
    said_how = models.CharField(max_length=40, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="answers_recorded"
    )
    taken_out_at = models.DateTimeField(null=True, blank=True)
    job = models.OneToOneField(Job, null=True, blank=True, on_delete=models.SET_NULL, related_name="repair_line")
    form_key = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["repair_list_id", "id"]

    def __str__(self) -> str:
        return self.words
